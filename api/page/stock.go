package page

import (
	"cmp"
	"strconv"
	"strings"

	"standin"
)

// shelves are what is free at the asked location, and elsewhere. read reports
// whether some of it is of a revision that must be read off its label.
func shelves(stock []standin.StockLine, revision, location string) (here, elsewhere string, read bool) {
	var near, far []string
	for i := range stock {
		s := &stock[i]
		if s.Free == 0 {
			continue
		}
		read = read || !s.RevisionKnown
		text := strconv.Itoa(s.Free) + " " + s.Condition
		if !s.RevisionKnown {
			text += " if the label reads " + cmp.Or(revision, "its revision")
		}
		if s.Location == location {
			near = append(near, text)
		} else {
			far = append(far, s.Location+" "+text)
		}
	}
	return strings.Join(near, "; "), strings.Join(far, "; "), read
}

// boardName names a revision of a part.
func boardName(part, revision string) string {
	if revision == "" {
		return part
	}
	return part + " revision " + revision
}

func revisionText(label string, issue standin.Maybe[int]) string {
	var said []string
	if label != "" {
		said = append(said, "revision "+label)
	}
	if n, ok := issue.Get(); ok {
		said = append(said, "issue "+strconv.Itoa(n))
	}
	return strings.Join(said, ", ")
}
