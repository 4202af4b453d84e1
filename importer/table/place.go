package table

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// MostSpans is how many spans of rows, or ranges of cells, a message lists.
const MostSpans = 5

// Span is a run of rows, both ends included.
type Span struct{ From, To int }

// Spans are rows by their numbers, ascending.
type Spans []Span

// Add adds a row, which must not be before the others.
func (s *Spans) Add(row int) {
	if n := len(*s); n > 0 && (*s)[n-1].To == row-1 {
		(*s)[n-1].To = row
		return
	}
	*s = append(*s, Span{row, row})
}

// Has reports whether a row is among them.
func (s Spans) Has(row int) bool {
	for _, span := range s {
		if span.From <= row && row <= span.To {
			return true
		}
	}
	return false
}

// String returns a list for people: 4, 7 to 9 and 2 more.
func (s Spans) String() string {
	var words []string
	for i, span := range s {
		if i == MostSpans {
			return strings.Join(words, ", ") + fmt.Sprintf(" and %d more", len(s)-i)
		}
		if span.From == span.To {
			words = append(words, fmt.Sprint(span.From))
			continue
		}
		words = append(words, fmt.Sprintf("%d to %d", span.From, span.To))
	}
	return strings.Join(words, ", ")
}

// ParseSpan reads a row or a span of rows, counted from 1: 4 or 7-9.
func ParseSpan(text string) (Span, error) {
	low, high, found := strings.Cut(text, "-")
	if !found {
		high = low
	}
	from, err := strconv.Atoi(Trim(low))
	if err != nil {
		return Span{}, err
	}
	to, err := strconv.Atoi(Trim(high))
	if err != nil {
		return Span{}, err
	}
	if from < 1 || to < from {
		return Span{}, errors.New("not a span of rows")
	}
	return Span{from, to}, nil
}

// ColumnLetters returns a spreadsheet's name of a column, counted from 0: A, B … Z, AA.
func ColumnLetters(column int) string {
	name := ""
	for column++; column > 0; column /= 26 {
		column--
		name = string(rune('A'+column%26)) + name
	}
	return name
}

// ColumnNamed returns the column that letters name, counted from 0; -1 where they name
// none.
func ColumnNamed(name string) int {
	column := 0
	for i := range len(name) {
		c := name[i] &^ 0x20
		if c < 'A' || c > 'Z' || i > 2 {
			return -1
		}
		column = column*26 + int(c-'A') + 1
	}
	if column > MostColumns {
		return -1
	}
	return column - 1
}

// Limits of a sheet. ECMA-376 names none; these are those of common programs [P].
const (
	MostColumns = 16384
	MostRows    = 1048576
)
