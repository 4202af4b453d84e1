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

// checks says what failed and what is still to be checked, each with the builds
// it holds for where they are not all; with Why also the reasons of what passed,
// else, beside open checks, only the names of those.
func (c *counter) checks(b standin.Candidate) {
	c.reasons("fails", b.Builds, standin.Fail)
	c.reasons("check", slices.DeleteFunc(slices.Clone(b.Builds), ruledOut), standin.Unknown)
	if c.detail.Why {
		c.reasons("passes", b.Builds, standin.Pass)
	} else if passed := passedThroughout(b.Builds); b.Verdict == standin.Check && len(passed) > 0 {
		c.item(bodyIndent, "passes", list(passed, "and"))
	}
}

func ruledOut(b standin.BuildAnswer) bool { return b.Verdict == standin.No }

func (c *counter) reasons(label string, builds []standin.BuildAnswer, outcome standin.Outcome) {
	for _, r := range reasonsOf(builds, outcome) {
		text := r.check + ": " + r.text
		if len(r.builds) < len(c.answer.Builds) {
			text += fmt.Sprintf(" (%s)", buildNames(r.builds))
		}
		c.item(bodyIndent, label, text)
		label = ""
	}
}

// reasonsOf are those of one outcome, each once, in the order of the checks.
func reasonsOf(builds []standin.BuildAnswer, outcome standin.Outcome) []reason {
	var all []reason
	for _, b := range builds {
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
func passedThroughout(builds []standin.BuildAnswer) []string {
	var passed, not []string
	for _, b := range builds {
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

// misfits says which boards do not fit and why: all of them where that is asked
// for, the nearest where nothing fits, else only how many there are.
func (c *counter) misfits(all []standin.Candidate, able int) {
	if len(all) == 0 {
		return
	}
	c.blank()
	switch {
	case able > 0 && !c.detail.All:
		c.line(0, fmt.Sprintf("%d more looked at that %s not fit; --all says why.", len(all), does(len(all))))
		return
	case c.detail.All || len(all) <= nearMisses:
		c.line(0, "Looked at, and why not:")
	default:
		c.line(0, fmt.Sprintf("%d were looked at; the nearest, and why not (--all shows the rest):", len(all)))
		all = nearest(all)[:nearMisses]
	}
	for _, m := range all {
		c.misfit(m)
	}
}

func does(n int) string {
	if n == 1 {
		return "does"
	}
	return "do"
}

// nearest orders misfits by how many of their checks failed.
func nearest(misfits []standin.Candidate) []standin.Candidate {
	failed := func(c standin.Candidate) int { return len(reasonsOf(c.Builds, standin.Fail)) }
	ordered := slices.Clone(misfits)
	slices.SortStableFunc(ordered, func(a, b standin.Candidate) int { return failed(a) - failed(b) })
	return ordered
}

func (c *counter) misfit(m standin.Candidate) {
	head := board(m.PartNumber, m.Revision)
	if at := shelves(m.Stock, c.answer.Machine.Location); len(at) > 0 {
		head += " (" + whereabouts(m.Stock, c.answer.Machine.Location) + ")"
	}
	c.ends(bodyIndent, head, verdictWords[standin.No])
	c.reasons("fails", m.Builds, standin.Fail)
	if c.detail.Why {
		c.reasons("check", m.Builds, standin.Unknown)
		c.reasons("passes", m.Builds, standin.Pass)
	}
}
