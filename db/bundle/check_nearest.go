package bundle

import (
	"math/bits"
	"slices"
	"unicode"
)

// unknownName is a name that a bundle refers to and that is not known, and the name
// that was probably meant. A name of several columns has one part per column; a
// correction changes one part only, because a person corrects one cell.
type unknownName struct {
	parts    []string
	folded   []foldedName
	lastOnly bool // the parts before the last are known and not at fault

	nearest  []string // nil: nothing near
	column   int      // which part of it differs
	distance int
	tied     bool // another name is as near
}

func newUnknownName(parts []string, lastOnly bool) *unknownName {
	return &unknownName{parts: parts, folded: foldAll(parts), lastOnly: lastOnly}
}

// observe compares a known name. Each must be observed once.
func (u *unknownName) observe(name []string, folded []foldedName) {
	column := u.differs(name)
	if column < 0 {
		return
	}
	d, ok := u.folded[column].distance(folded[column])
	switch {
	case !ok || u.nearest != nil && d > u.distance:
	case u.nearest != nil && d == u.distance:
		u.tied = true
	default:
		u.nearest, u.column, u.distance, u.tied = slices.Clone(name), column, d, false
	}
}

// meant is the name that was probably meant, nil where there is none or two are
// equally near.
func (u *unknownName) meant() []string {
	if u.tied {
		return nil
	}
	return u.nearest
}

// differs is the one part in which name differs, -1 where there are several or
// the part is not at fault.
func (u *unknownName) differs(name []string) int {
	column := -1
	for i, p := range u.parts {
		if p == name[i] {
			continue
		}
		if column >= 0 || u.lastOnly && i < len(name)-1 {
			return -1
		}
		column = i
	}
	return column
}

// foldedName is a name without case, spaces and punctuation, and with
// characters that are mistaken for each other on plates made one. has tells
// which characters occur: a cheap lower bound of the distance.
type foldedName struct {
	runes []rune
	has   uint64
}

var alike = map[rune]rune{'O': '0', 'I': '1', 'L': '1', 'S': '5', 'B': '8', 'Z': '2'}

func foldAll(names []string) []foldedName {
	all := make([]foldedName, len(names))
	for i, n := range names {
		all[i] = fold(n)
	}
	return all
}

func fold(name string) foldedName {
	var f foldedName
	for _, r := range name {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			continue
		}
		r = unicode.ToUpper(r)
		if a, ok := alike[r]; ok {
			r = a
		}
		f.runes = append(f.runes, r)
		f.has |= 1 << (uint(r) % 64)
	}
	return f
}

// distance is the number of characters to put in, leave out or replace (Levenshtein),
// and whether that is near: one in three at most, and two at most.
func (f foldedName) distance(g foldedName) (int, bool) {
	limit := min(2, len(f.runes)/3)
	if len(f.runes) == 0 || abs(len(f.runes)-len(g.runes)) > limit || bits.OnesCount64(f.has^g.has) > 2*limit {
		return 0, false
	}
	d := levenshtein(f.runes, g.runes)
	return d, d <= limit
}

func levenshtein(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			cost := diagonal
			if a[i] != b[j] {
				cost = 1 + min(diagonal, row[j], row[j+1])
			}
			diagonal, row[j+1] = row[j+1], cost
		}
	}
	return row[len(b)]
}

func abs(n int) int { return max(n, -n) }
