package sheet

import (
	"strconv"
	"strings"

	"standin"
)

// ofBuilds says for which of the possible builds something holds, where it is
// not for all of them.
func ofBuilds(a *standin.Answer, builds []string) string {
	if len(builds) == 0 || len(builds) == len(a.Builds) {
		return ""
	}
	return " (build " + strings.Join(builds, ", ") + ")"
}

// shapes stand beside the words of what a point shows: a copy has no colours.
var shapes = map[byte]string{standin.ShowsLit: "●", standin.ShowsUnlit: "○", standin.ShowsFlashing: "◐", standin.ShowsEither: "–"}

// boardName is the part number with its revision and issue.
func boardName(c *standin.Candidate) string {
	name := c.PartNumber + " revision " + c.Revision
	if issue, ok := c.Issue.Get(); ok {
		name += " (issue " + strconv.Itoa(issue) + ")"
	}
	return name
}

// expected are the values of a check before fitting, as far as recorded.
func expected(c *standin.Precheck) string {
	var said []string
	low, lowKnown := c.OhmsLow.Get()
	high, highKnown := c.OhmsHigh.Get()
	switch {
	case lowKnown && highKnown:
		said = append(said, standin.Figure(low)+" to "+standin.Figure(high)+"\u00a0Ω")
	case lowKnown:
		said = append(said, "at least "+standin.Figure(low)+"\u00a0Ω")
	}
	if len(said) == 0 {
		return "no short"
	}
	return strings.Join(said, ", ")
}
