package bundle

import (
	"slices"

	"standin"
)

// unknownName is a name that a bundle refers to and that is not known, and the name
// that was probably meant. A name of several columns has one part per column; a
// correction changes one part only, because a person corrects one cell.
type unknownName struct {
	parts    []string
	folded   []standin.FoldedName
	lastOnly bool // the parts before the last are known and not at fault

	nearest  []string // nil: nothing near
	column   int      // which part of it differs
	distance int
	tied     bool // another name is equally near
}

func newUnknownName(parts []string, lastOnly bool) *unknownName {
	return &unknownName{parts: parts, folded: foldAll(parts), lastOnly: lastOnly}
}

// observe compares a known name. Each must be observed exactly once.
func (u *unknownName) observe(name []string, folded []standin.FoldedName) {
	column := u.differs(name)
	if column < 0 {
		return
	}
	d, ok := u.folded[column].Near(folded[column])
	switch {
	case !ok || u.nearest != nil && d > u.distance:
	case u.nearest != nil && d == u.distance:
		u.tied = true
	default:
		u.nearest, u.column, u.distance, u.tied = slices.Clone(name), column, d, false
	}
}

// meant returns the name that was probably meant, nil where none is near or two are
// equally near.
func (u *unknownName) meant() []string {
	if u.tied {
		return nil
	}
	return u.nearest
}

// differs returns the one part in which name differs, -1 where there are several or
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

func foldAll(names []string) []standin.FoldedName {
	all := make([]standin.FoldedName, len(names))
	for i, n := range names {
		all[i] = standin.FoldName(n)
	}
	return all
}
