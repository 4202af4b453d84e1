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

// boardName is the part number with its revision and issue.
func boardName(c *standin.Candidate) string {
	name := c.PartNumber + " revision " + c.Revision
	if issue, ok := c.Issue.Get(); ok {
		name += " (issue " + strconv.Itoa(issue) + ")"
	}
	return name
}
