package tell

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// Detail is how much of an answer is written.
type Detail struct {
	All bool // boards that do not fit, too
	Why bool // the reason of every check, not only of those that did not pass
}

// Answer says what can stand in: the machine and which builds it may be, the
// question that would settle it, the boards in order, what to check before one
// is fitted, how its code is entered, the cautions and the sources.
func Answer(a *standin.Answer, detail Detail) string {
	p := &page{}
	tellMachine(p, a)
	p.blank()
	p.line(0, summary(a))
	tellEvidence(p, a)
	if a.Contradiction == nil {
		tellBuilds(p, a)
		tellQuestions(p, a)
		tellCandidates(p, a, detail)
		tellPrechecks(p, a)
		tellProcedures(p, a)
	}
	tellCautions(p, a)
	tellSources(p, a)
	return p.String()
}

func tellMachine(p *page, a *standin.Answer) {
	m := a.Model
	about := []string{m.Kind, supply(&m)}
	if m.Made != (standin.Span{}) {
		about = append(about, "made "+m.Made.String())
	}
	about = slices.DeleteFunc(about, func(s string) bool { return s == "" })
	head := []string{a.Machine.ModelKey.String()}
	if a.Machine.Brand == "" {
		head[0] = m.ModelKey.String()
	}
	p.line(0, strings.Join(append(head, about...), ", "))
	if a.TwinOf != nil {
		p.line(bodyIndent, fmt.Sprintf("the same appliance as %s, and answered as that", a.TwinOf))
	}
	if evidence := evidenceGiven(a.Machine); evidence != "" {
		p.line(bodyIndent, "going by "+evidence)
	}
}

// evidenceGiven lists what is known of the individual machine.
func evidenceGiven(m standin.Machine) string {
	var given []string
	add := func(name, value string) {
		if value != "" {
			given = append(given, name+" "+value)
		}
	}
	add("made", m.Made.Text)
	add("serial", m.Serial)
	add(plugWord(m.Plug), ways(m.Plug))
	add("no plug of", ways(m.NoPlug))
	add("old part", m.OldPart)
	add("dead board", m.Position)
	return list(given, "and")
}

// ways are the ways of plugs, as "6, 2 and 2 ways".
func ways(plug []int) string {
	if len(plug) == 0 {
		return ""
	}
	var words []string
	for _, n := range plug {
		words = append(words, strconv.Itoa(n))
	}
	return list(words, "and") + " ways"
}

// summary is what one would say first.
func summary(a *standin.Answer) string {
	if a.Contradiction != nil {
		return "No answer: what is known of this machine contradicts itself, so no board is named."
	}
	able := a.Standing()
	if able == 0 {
		return "No: nothing in the catalogue can stand in for this machine."
	}
	first := a.Candidates[0]
	name := board(first.PartNumber, first.Revision)
	var said string
	switch first.Verdict {
	case standin.Fits:
		said = "Yes: " + name + " fits"
		if len(a.Builds) > 1 {
			said += " whichever build it is"
		}
		if adaptors := first.Builds[0].Adaptors; len(adaptors) > 0 {
			said += ", with " + list(adaptors, "and")
		}
	case standin.Check:
		said = "Perhaps: " + name + " may stand in, once what is marked check is settled"
	default:
		said = "It depends on the build: settle that before " + name + " is set or fitted"
	}
	said += "; " + first.Whereabouts(a.Machine.Location) + "."
	if able > 1 {
		said += fmt.Sprintf(" There are %d to choose from, best first.", able)
	}
	return said
}

// tellEvidence says which evidence could not be used or cannot hold together.
func tellEvidence(p *page, a *standin.Answer) {
	for _, n := range a.NotUsed {
		p.line(0, fmt.Sprintf("Not used: %s. %s", standin.EvidenceName(n.Evidence), standin.Sentence(n.Reason)))
	}
	c := a.Contradiction
	if c == nil {
		return
	}
	p.blank()
	p.line(0, standin.Sentence(c.Reason))
	if c.Hint != "" {
		p.line(0, standin.Sentence(c.Hint))
	}
	var flags []string
	for _, e := range c.Evidence {
		flags = append(flags, bound("--"+strings.ReplaceAll(e, "_", "-")))
	}
	if len(flags) == 1 {
		p.line(0, "Look again, or ask without "+flags[0]+".")
		return
	}
	p.line(0, "Look again at each, or ask without "+list(flags, "or")+".")
}

func tellCautions(p *page, a *standin.Answer) {
	if len(a.Cautions) == 0 {
		return
	}
	p.blank()
	p.line(0, "Cautions")
	for _, c := range a.Cautions {
		p.bullet(bodyIndent, standin.Sentence(c))
	}
}

// tellSources names the documents that the answer rests on.
func tellSources(p *page, a *standin.Answer) {
	var sources []string
	for _, b := range a.Builds {
		sources = append(sources, b.Source)
	}
	for _, c := range a.Candidates[:a.Standing()] {
		for _, b := range c.Builds {
			sources = append(sources, b.Source)
		}
	}
	slices.Sort(sources)
	sources = slices.DeleteFunc(slices.Compact(sources), func(s string) bool { return s == "" })
	p.blank()
	text := fmt.Sprintf("Catalogue version %d", a.CatalogueVersion)
	if len(sources) > 0 {
		text += "; sources: " + strings.Join(sources, ", ")
	}
	p.line(0, text+".")
}
