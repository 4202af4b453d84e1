package standin

import (
	"fmt"
	"slices"
	"strings"
)

// The kinds of evidence, in the order they are named in a contradiction.
const (
	EvidenceMade    = "made"
	EvidenceSerial  = "serial"
	EvidencePlug    = "plug"
	EvidenceOldPart = "old_part"

	EvidencePosition = "position"
)

// evidence is one usable piece of evidence: its wording in reasons, and which
// builds it allows, by their index in the dossier.
type evidence struct {
	kind   string
	text   string
	allows []bool
}

// buildsOf returns the builds of a dossier. A model with none recorded has one,
// without a label, of which nothing is recorded; its position is the one asked
// for.
func buildsOf(d *Dossier, m Machine) []Build {
	if len(d.Builds) == 0 {
		return []Build{{Position: m.Position}}
	}
	return d.Builds
}

// evidenceOf turns what is known of a machine into evidence about builds, and
// names the pieces that cannot be used.
func evidenceOf(d *Dossier, m Machine, builds []Build) (pieces []evidence, notUsed []NotUsed) {
	add := func(kind, text string, allows func(*Build) bool) {
		e := evidence{kind, text, make([]bool, len(builds))}
		for i := range builds {
			e.allows[i] = allows(&builds[i])
		}
		pieces = append(pieces, e)
	}
	skip := func(kind, reason string) { notUsed = append(notUsed, NotUsed{kind, reason}) }

	if m.Made.Text != "" {
		add(EvidenceMade, "made "+m.Made.Text, func(b *Build) bool { return b.turnsUp(m.Made.Span) })
	}
	if m.Serial != "" {
		if allows, why := serialEvidence(d, m.Serial, builds); allows != nil {
			add(EvidenceSerial, "serial "+m.Serial, allows)
		} else {
			skip(EvidenceSerial, why)
		}
	}
	if len(m.Plug) > 0 || len(m.NoPlug) > 0 {
		add(EvidencePlug, plugsText(m), func(b *Build) bool { return b.Layout.mayHave(m.Plug) && b.Layout.mayLackAll(m.NoPlug) })
	}
	if m.OldPart != "" {
		if len(d.OldParts) > 0 {
			held := heldBy(d, newChains(d.Supersessions), d.OldParts)
			add(EvidenceOldPart, "old board "+m.OldPart, func(b *Build) bool { return mayHaveHeld(b, held) })
		} else {
			skip(EvidenceOldPart, fmt.Sprintf("no part or marking %s is recorded", m.OldPart))
		}
	}
	if m.Position != "" {
		add(EvidencePosition, "the "+positionName(m.Position)+" board is dead", func(b *Build) bool {
			return positionName(b.Position) == positionName(m.Position)
		})
	}
	return pieces, notUsed
}

// plugsText names the plugs seen and those found missing.
func plugsText(m Machine) string {
	switch {
	case len(m.NoPlug) == 0:
		return "plugs of " + waysList(m.Plug) + " ways"
	case len(m.Plug) == 0:
		return "no plug of " + waysList(m.NoPlug) + " ways"
	}
	return "plugs of " + waysList(m.Plug) + " ways and none of " + waysList(m.NoPlug)
}

// turnsUp reports whether a machine made in the span may be of the build: the
// build's own span and its run-out overlap it.
func (b *Build) turnsUp(made Span) bool {
	possible := b.Made
	if possible.To.Known {
		possible.To.V += Date(b.RunOutDays)
	}
	return possible.Overlaps(made)
}

// serialEvidence returns which builds a serial allows: by the bounds of the builds
// where any has some, else by the model's serial rule. Where the serial cannot be
// used, allows is nil and why says so.
func serialEvidence(d *Dossier, serial string, builds []Build) (allows func(*Build) bool, why string) {
	bounded, comparable := false, false
	for i := range builds {
		for _, bound := range []string{builds[i].SerialFrom, builds[i].SerialTo} {
			bounded = bounded || bound != ""
			_, ok := compareSerials(serial, bound)
			comparable = comparable || ok && bound != ""
		}
	}
	switch {
	case bounded && comparable:
		return func(b *Build) bool { return withinSerials(serial, b.SerialFrom, b.SerialTo) }, ""
	case bounded:
		return nil, fmt.Sprintf("serial %s is not of the form of the serials recorded at the cut-ins", serial)
	case d.Model.SerialRule == nil:
		return nil, "no rule is recorded that reads a date out of the serials of this model"
	}
	rule := d.Model.SerialRule
	spans, matched := rule.Spans(serial, d.Model.Made)
	switch {
	case !matched:
		return nil, fmt.Sprintf("serial %s is not of the form that the rule %s reads", serial, rule.Name)
	case len(spans) == 0:
		return nil, fmt.Sprintf("serial %s read by the rule %s is no date in the production of the model (%s)",
			serial, rule.Name, d.Model.Made)
	}
	return func(b *Build) bool {
		for _, span := range spans {
			if b.turnsUp(span) {
				return true
			}
		}
		return false
	}, ""
}

// withinSerials reports whether a serial may lie within bounds: an empty bound is
// open, and so is one that the serial cannot be compared with.
func withinSerials(serial, from, to string) bool {
	if order, ok := compareSerials(serial, from); ok && order < 0 {
		return false
	}
	order, ok := compareSerials(serial, to)
	return !ok || order <= 0
}

// compareSerials compares as numbers where both are all digits, else as text of
// equal length in capitals; ok reports whether they can be compared.
func compareSerials(a, b string) (order int, ok bool) {
	if allDigits(a) && allDigits(b) {
		a, b = strings.TrimLeft(a, "0"), strings.TrimLeft(b, "0")
		if len(a) != len(b) {
			return len(a) - len(b), true
		}
		return strings.Compare(a, b), true
	}
	return strings.Compare(strings.ToUpper(a), strings.ToUpper(b)), len(a) == len(b)
}

// mayHave reports whether a layout may have connectors of these ways, each its
// own. A connector whose ways are not recorded may have any number, and a
// layout that is not recorded any connectors: what is not known rules out no build.
func (l *Layout) mayHave(ways []int) bool {
	if l == nil {
		return true
	}
	free := map[int]int{} // connectors, by their ways
	anyWays := 0
	for _, c := range l.Connectors {
		if c.Ways.Known {
			free[c.Ways.V]++
		} else {
			anyWays++
		}
	}
	for _, n := range ways {
		if free[n] > 0 {
			free[n]--
		} else {
			anyWays--
		}
	}
	return anyWays >= 0
}

// mayLackAll reports whether a layout may have no connector of any of these ways.
func (l *Layout) mayLackAll(ways []int) bool {
	return !slices.ContainsFunc(ways, func(n int) bool { return !l.mayLack(n) })
}

// mayLack reports whether a layout may have no connector with this number of
// ways: none is recorded with it.
func (l *Layout) mayLack(ways int) bool {
	return l == nil || !slices.ContainsFunc(l.Connectors, func(c Connector) bool { return c.Ways == Known(ways) })
}

// heldPart is an old part and the positions it may have come from; none: any.
type heldPart struct {
	*OldPart
	at []string
}

func heldBy(d *Dossier, links chains, parts []OldPart) []heldPart {
	held := make([]heldPart, len(parts))
	for i := range parts {
		held[i] = heldPart{&parts[i], heldAt(d, links, &parts[i])}
	}
	return held
}

// mayHaveHeld reports whether one of the old parts may have been in the build.
func mayHaveHeld(b *Build, parts []heldPart) bool {
	for _, p := range parts {
		if (len(p.at) == 0 || slices.Contains(p.at, positionName(b.Position))) && seats(b.Layout, p.Layout) != Fail {
			return true
		}
	}
	return false
}

// allowedByAll returns the indices of the n builds that all pieces allow.
func allowedByAll(n int, pieces []evidence) []int {
	var allowed []int
	for i := range n {
		possible := true
		for _, e := range pieces {
			possible = possible && e.allows[i]
		}
		if possible {
			allowed = append(allowed, i)
		}
	}
	return allowed
}

// contradiction names the fewest pieces that no build satisfies together; of
// several such sets the one whose pieces come first.
func contradiction(n int, pieces []evidence) *Contradiction {
	var fewest []evidence
	for set := 1; set < 1<<len(pieces); set++ {
		var chosen []evidence
		for i, e := range pieces {
			if set&(1<<i) != 0 {
				chosen = append(chosen, e)
			}
		}
		if len(allowedByAll(n, chosen)) == 0 && (fewest == nil || namedBefore(chosen, fewest, pieces)) {
			fewest = chosen
		}
	}
	c := &Contradiction{}
	var texts []string
	for _, e := range fewest {
		c.Evidence = append(c.Evidence, e.kind)
		texts = append(texts, e.text)
	}
	if len(texts) == 1 {
		c.Reason = "no build of this model is recorded that allows " + texts[0]
	} else {
		c.Reason = "no build of this model is recorded that allows all of: " + strings.Join(texts, "; ")
	}
	return c
}

// namedBefore reports whether a contradiction is better stated by the pieces a than
// by b: by fewer, else by those that come first in order.
func namedBefore(a, b, order []evidence) bool {
	if len(a) != len(b) {
		return len(a) < len(b)
	}
	rank := map[string]int{}
	for i, e := range order {
		rank[e.kind] = i
	}
	for i := range a {
		if a[i].kind != b[i].kind {
			return rank[a[i].kind] < rank[b[i].kind]
		}
	}
	return false
}

func waysList(ways []int) string {
	words := make([]string, len(ways))
	for i, n := range ways {
		words[i] = fmt.Sprint(n)
	}
	return strings.Join(words, " + ")
}
