package tell

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"standin"
)

// tellPrechecks says what to measure before a board is fitted, where there is
// one to fit.
func tellPrechecks(p *page, a *standin.Answer) {
	if len(a.BeforeFitting) == 0 || a.Standing() == 0 {
		return
	}
	p.blank()
	p.line(0, "Before it is fitted, with the machine isolated and proved dead")
	var sources []string
	for _, c := range a.BeforeFitting {
		head := c.Circuit
		if len(c.Builds) < len(a.Builds) && len(c.Builds) > 0 {
			head += " (" + standin.BuildNames(c.Builds) + ")"
		}
		p.ends(bodyIndent, head, expected(c))
		p.line(2*bodyIndent, standin.Sentence(c.Text))
		if c.Source != "" && !slices.Contains(sources, c.Source) {
			sources = append(sources, c.Source)
		}
	}
	for _, s := range sources {
		p.line(bodyIndent, "Values: "+stopped(s))
	}
}

// expected is what the meter must show: of an isolated machine no current.
func expected(c standin.Precheck) string { return cmp.Or(c.Ohms(), "no short") }

// tellProcedures says step by step how a code is entered and read back, for
// every procedure that a board above calls for.
func tellProcedures(p *page, a *standin.Answer) {
	for _, name := range procedures(a) {
		p.blank()
		tellProcedure(p, a.Procedures[name])
	}
}

// procedures are those to follow for boards that are not ruled out, by name.
func procedures(a *standin.Answer) []string {
	var names []string
	for _, c := range a.Candidates[:a.Standing()] {
		for _, b := range c.Builds {
			if b.Work == standin.Configure && b.Verdict != standin.No && a.Procedures[b.Procedure] != nil {
				names = append(names, b.Procedure)
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// phaseWords head the phases of a procedure.
var phaseWords = map[standin.Phase]string{
	standin.PhaseEnter:    "enter",
	standin.PhaseSymbol:   "symbol",
	standin.PhaseFinish:   "finish",
	standin.PhaseReadback: "readback",
}

func tellProcedure(p *page, procedure *standin.Procedure) {
	p.line(0, "Procedure "+procedure.Name)
	for _, s := range procedure.Steps {
		p.item(bodyIndent, fmt.Sprintf("%s%s%d", phaseWords[s.Phase], nbsp, s.Step), stepText(s))
	}
}

func stepText(s standin.Step) string {
	said := []string{standin.Sentence(s.Do)}
	if hold, ok := s.HoldSeconds.Get(); ok && hold > 0 {
		said = append(said, "Hold for "+figure(hold, 1)+nbsp+"s.")
	}
	if s.Expect != "" {
		said = append(said, "Expect: "+stopped(s.Expect))
	}
	return strings.Join(slices.DeleteFunc(said, func(s string) bool { return s == "" }), " ")
}
