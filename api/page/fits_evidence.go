package page

import (
	"slices"
	"strings"

	"standin"
)

// given is a piece of evidence, with the address of the answer without it.
type given struct {
	name  string
	Word  string
	Value string
	Drop  string
}

// givenOf is the evidence there is of a machine.
func givenOf(m *standin.Machine) []given {
	var all []given
	add := func(name, value string, without standin.Machine) {
		if value != "" {
			all = append(all, given{name, standin.EvidenceName(name), value, fitsLink(&without)})
		}
	}
	without := *m
	without.Made = standin.Made{}
	add(standin.EvidenceMade, m.Made.Text, without)
	without = *m
	without.Serial = ""
	add(standin.EvidenceSerial, m.Serial, without)
	without = *m
	without.Plug, without.NoPlug = nil, nil
	add(standin.EvidencePlug, plugsText(m), without)
	without = *m
	without.OldPart = ""
	add(standin.EvidenceOldPart, m.OldPart, without)
	without = *m
	without.Position = ""
	add(standin.EvidencePosition, m.Position, without)
	return all
}

// plugsText are the plugs seen, and those that are not there.
func plugsText(m *standin.Machine) string {
	seen := waysText(m.Plug)
	switch {
	case len(m.NoPlug) == 0:
		return seen
	case seen == "":
		return "none with " + waysText(m.NoPlug)
	}
	return seen + ", none with " + waysText(m.NoPlug)
}

// waysText are the ways of plugs, as "6, 2 and 2 ways".
func waysText(plug []int) string {
	if len(plug) == 0 {
		return ""
	}
	return standin.AndList(strings.Fields(standin.PlugText(plug, nil))) + " ways"
}

// evidence is the form with what is known of the machine.
type evidence struct {
	Brand, Model, Variant, Made, Serial, Plug, OldPart, Position, Location string
	All                                                                    bool
	Missing                                                                []missingPlug // to be ticked
	Positions                                                              []standin.Choice
	Open                                                                   bool
	Faults                                                                 evidenceFaults
}

// missingPlug is a plug that may be on the harness, to be ticked where it is not.
type missingPlug struct {
	Ways   int
	Ticked bool
}

// addTicks adds to the form the plugs that builds of the model have and that were
// not seen, and its positions.
func (f *evidence) addTicks(a *standin.Answer) {
	ways := slices.Clone(a.Machine.NoPlug)
	for i := range a.Builds {
		ways = append(ways, recordedWays(a.Builds[i].Layout)...)
	}
	slices.Sort(ways)
	slices.Reverse(ways)
	for _, n := range slices.Compact(ways) {
		if !slices.Contains(a.Machine.Plug, n) {
			f.Missing = append(f.Missing, missingPlug{n, slices.Contains(a.Machine.NoPlug, n)})
		}
	}
	for _, at := range a.Positions {
		f.Positions = append(f.Positions, standin.Choice{Answer: at, Text: "the " + at + " board"})
	}
	f.Plug = standin.PlugText(a.Machine.Plug, nil) // the others are ticked
}

// evidenceFaults says why a field cannot be read; empty: it can.
type evidenceFaults struct {
	Made, Serial, Plug, OldPart string
}

// faultsOf puts a message at the field it is about.
func faultsOf(field, message string) evidenceFaults {
	switch field {
	case standin.EvidenceMade:
		return evidenceFaults{Made: message}
	case standin.EvidenceSerial:
		return evidenceFaults{Serial: message}
	case standin.EvidencePlug:
		return evidenceFaults{Plug: message}
	case standin.EvidenceOldPart:
		return evidenceFaults{OldPart: message}
	}
	return evidenceFaults{}
}

func formOf(m *standin.Machine, all bool) evidence {
	return evidence{
		Brand: m.Brand, Model: m.Model, Variant: m.Variant, Made: m.Made.Text, Serial: m.Serial,
		Plug: standin.PlugText(m.Plug, m.NoPlug), OldPart: m.OldPart, Position: m.Position, Location: m.Location, All: all,
		Open: len(givenOf(m)) > 0,
	}
}

// question is one that settles which build it is.
type question struct {
	Text    string
	Choices []choice
}

// choice is an answer to a question. Where there is nothing to give as
// evidence for it, Link is empty.
type choice struct {
	Text   string
	Builds string
	Link   string
}

// questionsOf are the questions of an answer, each choice leading to where the
// machine is asked for with it.
func questionsOf(a *standin.Answer, to func(*standin.Machine) string) []question {
	questions := make([]question, len(a.Questions))
	for i := range a.Questions {
		q := &a.Questions[i]
		questions[i].Text = q.Text
		for _, c := range q.Choices {
			one := choice{Text: c.Text, Builds: standin.BuildNames(c.Builds)}
			if c.Answer != "" {
				m := answered(a.Machine, q.Kind, c.Answer)
				one.Link = to(&m)
			}
			questions[i].Choices = append(questions[i].Choices, one)
		}
	}
	return questions
}

// answered is the machine with a choice as further evidence. Plugs seen are seen
// still; a date is narrowed.
func answered(m standin.Machine, kind, answer string) standin.Machine {
	switch kind {
	case standin.EvidencePlug:
		if have, lack, err := standin.ParsePlug(answer); err == nil {
			m.Plug, m.NoPlug = have, lack
		}
	case standin.EvidenceOldPart:
		m.OldPart = answer
	case standin.EvidencePosition:
		m.Position = answer
	case standin.EvidenceMade:
		if made, err := standin.ParseMade(answer); err == nil {
			m.Made = narrowed(made, m.Made)
		}
	}
	return m
}

// narrowed is the part of a span of dates that earlier evidence leaves.
func narrowed(made, earlier standin.Made) standin.Made {
	if earlier.Text == "" {
		return made
	}
	span, ok := made.Span.Cut(earlier.Span)
	if !ok {
		return made
	}
	return standin.Made{Text: endText(span.From) + "/" + endText(span.To), Span: span}
}

// endText is an end of an interval; an open one is two dots.
func endText(d standin.Maybe[standin.Date]) string {
	if day, ok := d.Get(); ok {
		return day.String()
	}
	return ".."
}

// buildText says how a build is known.
func buildText(b *standin.Build) string {
	if b.Label == "" {
		return "Nothing is recorded of its builds."
	}
	said := []string{standin.BuildNames([]string{b.Label}) + ": made " + b.Made.String()}
	if b.RunOutDays > 0 {
		said[0] += " and up to " + count(b.RunOutDays, "day", "days") + " longer"
	}
	switch {
	case b.SerialFrom != "" && b.SerialTo != "":
		said = append(said, "serial "+b.SerialFrom+" to "+b.SerialTo)
	case b.SerialFrom != "":
		said = append(said, "serial from "+b.SerialFrom)
	case b.SerialTo != "":
		said = append(said, "serial until "+b.SerialTo)
	}
	if b.PartNumber != "" {
		said = append(said, "factory board "+boardName(b.PartNumber, b.Revision))
	}
	if ways := waysText(recordedWays(b.Layout)); ways != "" {
		said = append(said, "plugs of "+ways)
	}
	return standin.Sentence(strings.Join(said, "; "))
}

// recordedWays are the ways of a layout's connectors, widest first.
func recordedWays(l *standin.Layout) []int {
	if l == nil {
		return nil
	}
	var ways []int
	for _, c := range l.Connectors {
		if n, ok := c.Ways.Get(); ok {
			ways = append(ways, n)
		}
	}
	slices.Sort(ways)
	slices.Reverse(ways)
	return ways
}
