package sheet

import (
	"cmp"
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

// expected is what the meter must show.
func expected(c *standin.Precheck) string { return cmp.Or(c.Ohms(), "no short") }
