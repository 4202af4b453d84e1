package bundle

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"standin"
	"standin/db/internal/pg"
)

// correct adds the name that was probably meant to the findings about a name that
// is not known. The known names are read once for each kind of thing, and only the
// nearest are kept.
func (in *inspection) correct(ctx context.Context, found []located) error {
	wanted := map[string][]int{} // the findings, by the SQL of what they refer to
	for i, l := range found {
		if l.reference != nil && l.place >= 0 {
			key := l.reference.to.sql()
			wanted[key] = append(wanted[key], i)
		}
	}
	for _, which := range wanted {
		if err := in.correctThings(ctx, found, which); err != nil {
			return err
		}
	}
	return nil
}

func (in *inspection) correctThings(ctx context.Context, found []located, which []int) error {
	unknown := map[string]*unknownName{}
	nameIn := func(l located) *unknownName {
		names := l.cells[:len(l.reference.columns)]
		key := strings.Join(names, "\x00")
		if unknown[key] == nil {
			unknown[key] = newUnknownName(names, l.reference.within != nil)
		}
		return unknown[key]
	}
	for _, i := range which {
		nameIn(found[i])
	}
	to := found[which[0]].reference.to
	if err := in.observeNames(ctx, to, unknown); err != nil {
		return err
	}
	for _, i := range which {
		u := nameIn(found[i])
		if meant := u.meant(); meant != nil {
			found[i].correctTo(meant, u.column)
		}
	}
	return nil
}

// observeNames compares every known name of a thing with the unknown ones.
func (in *inspection) observeNames(ctx context.Context, to thing, unknown map[string]*unknownName) error {
	rows, err := in.query(ctx, fmt.Sprintf("SELECT DISTINCT ARRAY[%s]::text[] FROM (%s) n", columnListOf(to.columns, ""), to.sql()))
	if err != nil {
		return pg.Translate(err)
	}
	defer rows.Close()
	for rows.Next() {
		var name []string
		if err := rows.Scan(&name); err != nil {
			return pg.Translate(err)
		}
		if hasMixedLetters(name) {
			continue // whatever is near it is probably right, and it is not
		}
		folded := foldAll(name)
		for _, u := range unknown {
			u.observe(name, folded)
		}
	}
	return pg.Translate(rows.Err())
}

// correctTo sets the column that differs from the name that was meant, with its
// value and correction.
func (l *located) correctTo(meant []string, column int) {
	f, r := &l.finding, l.reference
	f.Column, f.Value, f.Correction = r.columns[column], l.cells[column], meant[column]
	if r.within == nil && len(meant) > 1 {
		f.Message += "; did you mean " + modelText(meant) + "?"
	}
}

// hasMixedLetters reports whether a part of a name looks Latin and is not.
func hasMixedLetters(name []string) bool {
	return slices.ContainsFunc(name, func(part string) bool { return standin.InLatin(part) != part })
}
