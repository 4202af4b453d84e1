package tell

import (
	"fmt"
	"slices"

	"standin"
)

// checks says what failed and what is still to be checked, each with the builds
// it holds for where they are not all; with Why also the reasons of what passed,
// else, beside open checks, only the names of those.
func (c *counter) checks(b standin.Candidate) {
	able := b
	able.Builds = slices.DeleteFunc(slices.Clone(b.Builds), ruledOut)
	c.reasons("fails", &b, standin.Fail)
	c.reasons("check", &able, standin.Unknown)
	if c.detail.Why {
		c.reasons("passes", &b, standin.Pass)
	} else if passed := passedThroughout(b.Builds); b.Verdict == standin.Check && len(passed) > 0 {
		c.item(bodyIndent, "passes", list(passed, "and"))
	}
	c.remarks(&b)
}

// remarks says what changes no verdict and must be known all the same.
func (c *counter) remarks(b *standin.Candidate) {
	label := "remark"
	for _, r := range b.Remarks() {
		text := standin.Sentence(r.Text)
		if len(r.Builds) < len(c.answer.Builds) {
			text += fmt.Sprintf(" (%s)", standin.BuildNames(r.Builds))
		}
		c.item(bodyIndent, label, text)
		label = ""
	}
}

func ruledOut(b standin.BuildAnswer) bool { return b.Verdict == standin.No }

func (c *counter) reasons(label string, b *standin.Candidate, outcome standin.Outcome) {
	for _, r := range b.Reasons(outcome) {
		text := r.Check + ": " + r.Text
		if len(r.Builds) < len(c.answer.Builds) {
			text += fmt.Sprintf(" (%s)", standin.BuildNames(r.Builds))
		}
		c.item(bodyIndent, label, text)
		label = ""
	}
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
		c.line(0, "Boards that do not fit, and why:")
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
	failed := func(c standin.Candidate) int { return len(c.Reasons(standin.Fail)) }
	ordered := slices.Clone(misfits)
	slices.SortStableFunc(ordered, func(a, b standin.Candidate) int { return failed(a) - failed(b) })
	return ordered
}

func (c *counter) misfit(m standin.Candidate) {
	head := board(m.PartNumber, m.Revision)
	if at := shelves(m.Stock, c.answer.Machine.Location); len(at) > 0 {
		head += " (" + m.Whereabouts(c.answer.Machine.Location) + ")"
	}
	c.ends(bodyIndent, head, standin.No.Phrase())
	c.reasons("fails", &m, standin.Fail)
	if c.detail.Why {
		c.reasons("check", &m, standin.Unknown)
		c.reasons("passes", &m, standin.Pass)
	}
}
