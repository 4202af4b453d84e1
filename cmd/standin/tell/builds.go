package tell

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

func tellBuilds(p *page, a *standin.Answer) {
	p.blank()
	if len(a.Builds) == 1 && a.Builds[0].Label == "" {
		p.line(0, "Nothing is recorded of its builds.")
		return
	}
	if len(a.Builds) == 1 {
		p.line(0, "It is this build:")
	} else {
		p.line(0, fmt.Sprintf("It may be any of %d builds:", len(a.Builds)))
	}
	for _, b := range a.Builds {
		p.item(bodyIndent, b.Label, buildText(b))
	}
}

func buildText(b standin.Build) string {
	made := "made " + b.Made.String()
	if b.RunOutDays > 0 {
		made += " and up to " + count(b.RunOutDays, "day", "days") + " longer"
	}
	said := []string{made}
	if b.SerialFrom != "" || b.SerialTo != "" {
		said = append(said, "serial "+serialSpan(b.SerialFrom, b.SerialTo))
	}
	if b.PartNumber != "" {
		said = append(said, "factory board "+board(b.PartNumber, b.Revision))
	}
	if b.Layout == nil {
		said = append(said, "harness not recorded")
	} else {
		said = append(said, fmt.Sprintf("harness %s%s", b.Layout.Name, plugs(b.Layout)))
	}
	return strings.Join(said, "; ")
}

func serialSpan(from, to string) string {
	switch {
	case to == "":
		return "from " + from
	case from == "":
		return "until " + to
	}
	return from + " to " + to
}

// plugs are the ways of a harness, widest first, in brackets.
func plugs(l *standin.Layout) string {
	var known []int
	for _, c := range l.Connectors {
		if n, ok := c.Ways.Get(); ok {
			known = append(known, n)
		}
	}
	if len(known) == 0 {
		return ""
	}
	slices.Sort(known)
	slices.Reverse(known)
	return " (" + plugWord(known) + " " + ways(known) + ")"
}

func plugWord(ways []int) string {
	if len(ways) == 1 {
		return "a plug of"
	}
	return "plugs of"
}

// tellQuestions puts the best question with what to type for each of its
// choices, and names the others.
func tellQuestions(p *page, a *standin.Answer) {
	if len(a.Questions) == 0 {
		return
	}
	p.blank()
	q := a.Questions[0]
	p.line(0, "What settles it: "+q.Text)
	for _, c := range q.Choices {
		answer := "add " + typed(q.Kind, c.Answer)
		if c.Answer == "" {
			answer = "see below what holds for it"
		}
		p.line(bodyIndent, fmt.Sprintf("%s: it is %s; %s", c.Text, standin.BuildNames(c.Builds), answer))
	}
	asked := []string{q.Kind}
	for _, other := range a.Questions[1:] {
		if !slices.Contains(asked, other.Kind) { // the best of each kind is enough
			asked = append(asked, other.Kind)
			p.line(0, fmt.Sprintf("Or: %s (--%s)", other.Text, strings.ReplaceAll(other.Kind, "_", "-")))
		}
	}
}

// typed is the flag that gives a choice as evidence.
func typed(kind, answer string) string {
	return option(strings.ReplaceAll(kind, "_", "-"), answer)
}
