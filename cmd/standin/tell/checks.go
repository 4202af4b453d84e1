package tell

import (
	"fmt"
	"slices"

	"standin"
)

// reason is why a check came out as it did, and for which builds.
type reason struct {
	check  string
	text   string
	builds []string
}

// tellChecks says what failed, then what is still to be checked; with Why also
// the reasons of what passed, else only the names of those checks.
func tellChecks(p *page, group []standin.BuildAnswer, detail Detail) {
	ruledOut := group[0].Verdict == standin.No
	tellReasons(p, "fails", group, standin.Fail)
	if !ruledOut || detail.Why {
		tellReasons(p, "check", group, standin.Unknown)
	}
	if detail.Why {
		tellReasons(p, "passes", group, standin.Pass)
	} else if passed := passedThroughout(group); len(passed) > 0 && !ruledOut {
		p.item(bodyIndent, "passes", list(passed, "and"))
	}
}

func tellReasons(p *page, label string, group []standin.BuildAnswer, outcome standin.Outcome) {
	for _, r := range reasons(group, outcome) {
		text := r.check + ": " + r.text
		if len(r.builds) < len(group) {
			text += fmt.Sprintf(" (%s)", buildNames(r.builds))
		}
		p.item(bodyIndent, label, text)
		label = ""
	}
}

// reasons are those of one outcome, each once, in the order of the checks.
func reasons(group []standin.BuildAnswer, outcome standin.Outcome) []reason {
	var all []reason
	for _, b := range group {
		for _, c := range b.Checks {
			if c.Outcome != outcome {
				continue
			}
			i := slices.IndexFunc(all, func(r reason) bool { return r.check == c.Check && r.text == c.Reason })
			if i < 0 {
				i = len(all)
				all = append(all, reason{check: c.Check, text: c.Reason})
			}
			if !slices.Contains(all[i].builds, b.Build) {
				all[i].builds = append(all[i].builds, b.Build)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b reason) int {
		return slices.Index(checkOrder, a.check) - slices.Index(checkOrder, b.check)
	})
	return all
}

// checkOrder is the order in which checks are made and told.
var checkOrder = []string{standin.CheckStop, standin.CheckConfiguration, standin.CheckOptions,
	standin.CheckSupply, standin.CheckConnectors, standin.CheckRatings}

// passedThroughout are the checks with no outcome but pass for every build.
func passedThroughout(group []standin.BuildAnswer) []string {
	var passed, not []string
	for _, b := range group {
		for _, c := range b.Checks {
			if c.Outcome == standin.Pass {
				passed = append(passed, c.Check)
			} else {
				not = append(not, c.Check)
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(checkOrder), func(name string) bool {
		return !slices.Contains(passed, name) || slices.Contains(not, name)
	})
}

// nearMisses is how many boards are shown where nothing fits.
const nearMisses = 3

// tellMisfits says which boards do not fit and why: all of them where that is
// asked for, the nearest where nothing fits, else only how many there are.
func tellMisfits(p *page, a *standin.Answer, misfits []standin.Candidate, able int, detail Detail) {
	if len(misfits) == 0 {
		return
	}
	p.blank()
	switch {
	case detail.All:
		p.line(0, capital(count(len(misfits), "board does", "boards do"))+" not fit:")
	case able > 0:
		p.line(0, capital(count(len(misfits), "more board was", "more boards were"))+
			" looked at and did not fit; --all says why.")
		return
	case len(misfits) <= nearMisses:
		p.line(0, "Looked at, and why not:")
	default:
		p.line(0, fmt.Sprintf("%d were looked at; the nearest, and why not (--all shows the rest):", len(misfits)))
		misfits = nearest(misfits)[:nearMisses]
	}
	for _, c := range misfits {
		tellMisfit(p, a, c, detail)
	}
}

// nearest orders misfits by how many of their checks failed.
func nearest(misfits []standin.Candidate) []standin.Candidate {
	failed := func(c standin.Candidate) int { return len(reasons(c.Builds, standin.Fail)) }
	ordered := slices.Clone(misfits)
	slices.SortStableFunc(ordered, func(a, b standin.Candidate) int { return failed(a) - failed(b) })
	return ordered
}

func tellMisfit(p *page, a *standin.Answer, c standin.Candidate, detail Detail) {
	head := board(c.PartNumber, c.Revision)
	if at := shelves(c.Stock, a.Machine.Location); len(at) > 0 {
		head += " (" + whereabouts(c.Stock, a.Machine.Location) + ")"
	}
	p.ends(bodyIndent, head, verdictWords[standin.No])
	tellReasons(p, "fails", c.Builds, standin.Fail)
	if detail.Why {
		tellReasons(p, "check", c.Builds, standin.Unknown)
		tellReasons(p, "passes", c.Builds, standin.Pass)
	}
}
