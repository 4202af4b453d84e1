package importer

import (
	"fmt"
	"strings"
)

// mostSpans is how many spans of rows, or ranges of cells, a message lists.
const mostSpans = 5

// span is a run of rows, both ends included.
type span struct{ from, to int }

// spans are rows by their numbers, ascending.
type spans []span

func (s *spans) add(row int) {
	if n := len(*s); n > 0 && (*s)[n-1].to == row-1 {
		(*s)[n-1].to = row
		return
	}
	*s = append(*s, span{row, row})
}

func (s spans) has(row int) bool {
	for _, span := range s {
		if span.from <= row && row <= span.to {
			return true
		}
	}
	return false
}

// String is a list for people: 4, 7 to 9 and 2 more.
func (s spans) String() string {
	var words []string
	for i, span := range s {
		if i == mostSpans {
			return strings.Join(words, ", ") + fmt.Sprintf(" and %d more", len(s)-i)
		}
		if span.from == span.to {
			words = append(words, fmt.Sprint(span.from))
			continue
		}
		words = append(words, fmt.Sprintf("%d to %d", span.from, span.to))
	}
	return strings.Join(words, ", ")
}
