package standin

import (
	"slices"
	"strings"
)

// hint says what would resolve a contradiction: what the old part is recorded
// as, what is recorded where the evidence has something else, and which builds
// are left without one of the pieces.
func hint(d *Dossier, c *Contradiction, pieces []evidence, names []string) string {
	var hints []string
	for _, kind := range c.Evidence {
		if text := recordedOf(d, kind); text != "" {
			hints = append(hints, text)
		}
	}
	for i, dropped := range pieces {
		if !slices.Contains(c.Evidence, dropped.kind) || len(pieces) == 1 {
			continue
		}
		rest := slices.Concat(pieces[:i], pieces[i+1:])
		var remaining []string
		for _, build := range allowedByAll(len(names), rest) {
			remaining = append(remaining, names[build])
		}
		if len(remaining) > 0 {
			hints = append(hints, "without \""+dropped.text+"\" it is "+BuildNames(remaining))
		}
	}
	return strings.Join(hints, "; ")
}

// recordedOf says what is recorded that a kind of evidence is compared with.
func recordedOf(d *Dossier, kind string) string {
	switch kind {
	case EvidenceOldPart:
		return oldPartsText(d.OldParts)
	case EvidencePosition:
		return "recorded for this model: " + AndList(positionsOf(d.Builds))
	case EvidenceMade:
		return madeText(d.Builds)
	case EvidencePlug:
		return plugsRecorded(d.Builds)
	}
	return ""
}

// oldPartsText says what the parts are that a number on a board leads to.
func oldPartsText(parts []OldPart) string {
	var said []string
	for i := range parts {
		p := &parts[i]
		text := p.PartNumber + " is a board"
		if p.Position != "" {
			text = p.PartNumber + " is a " + positionName(p.Position) + " board"
		}
		if p.Family != "" {
			text += " of family " + p.Family
		}
		if len(p.Kinds) > 0 {
			text += ", for " + AndList(plurals(p.Kinds))
		}
		if text != p.PartNumber+" is a board" && !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	return strings.Join(said, "; ")
}

func plurals(kinds []string) []string {
	all := make([]string, len(kinds))
	for i, kind := range kinds {
		all[i] = kind + "s"
		if strings.HasSuffix(kind, "s") {
			all[i] = kind
		}
	}
	return all
}

// madeText says from when until when builds are recorded.
func madeText(builds []Build) string {
	var whole Span
	for i := range builds {
		made := builds[i].Made
		if i == 0 {
			whole = made
			continue
		}
		if whole.From.Known && (!made.From.Known || made.From.V < whole.From.V) {
			whole.From = made.From
		}
		if whole.To.Known && (!made.To.Known || made.To.V > whole.To.V) {
			whole.To = made.To
		}
	}
	if whole == (Span{}) {
		return ""
	}
	return "the builds recorded were made " + whole.String()
}

// plugsRecorded lists the ways of the plugs of each harness recorded.
func plugsRecorded(builds []Build) string {
	var said []string
	for i := range builds {
		l := builds[i].Layout
		if l == nil {
			continue
		}
		var ways []int
		for _, c := range l.Connectors {
			if c.Ways.Known {
				ways = append(ways, c.Ways.V)
			}
		}
		slices.Sort(ways)
		slices.Reverse(ways)
		if text := waysList(ways); len(ways) > 0 && !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return "recorded harnesses have plugs of " + strings.Join(said, " ways, or of ") + " ways"
}
