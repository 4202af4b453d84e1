package importer

import (
	"errors"
	"io"
	"slices"

	"standin"
)

// binding says where the columns of a file stand in its table.
type binding struct {
	at    []int // for each column of the file its place in a record; -1: absent
	width int   // cells that have a header
}

// bind reads the header. It reports, at the header's line, what is missing,
// unknown or there twice, and returns false where no row has a key.
func bind(in rows, file standin.File, report func(f *fault, line int, column, value string)) (binding, bool) {
	header, err := in.Next()
	if errors.Is(err, io.EOF) {
		report(unreadable("the file is empty; its first row must be the header: %s", listed(columnNames(file))), 0, "", "")
		return binding{}, false
	}
	if err != nil {
		report(faultOf(err), header.line, "", "")
		return binding{}, false
	}
	b := binding{at: slices.Repeat([]int{-1}, len(file.Columns)), width: len(header.cells)}
	for b.width > 0 && trim(header.cells[b.width-1]) == "" {
		b.width--
	}
	unknown := b.place(header, file, report)
	if b.nothing() {
		report(&fault{code: standin.MissingColumn, message: "the first row names none of the columns of this file; it must be the header: " +
			listed(columnNames(file))}, header.line, "", header.cells[0])
		return b, false
	}
	missing := b.missing(file)
	for _, at := range unknown {
		cell := trim(header.cells[at])
		report(unknownColumn(at, cell, b.absent(file)), header.line, cut(cell, shownInMessage), cell)
	}
	keyed := true
	for _, c := range missing {
		report(&fault{code: standin.MissingColumn, message: "the header has no column " + c.Name + "; add it"}, header.line, c.Name, "")
		keyed = keyed && !c.Key
	}
	return b, keyed
}

// place finds the columns, and returns the places of header cells that are none.
func (b *binding) place(header record, file standin.File, report func(*fault, int, string, string)) (unknown []int) {
	for i, cell := range header.cells[:b.width] {
		name := normal(cell)
		c := slices.IndexFunc(file.Columns, func(c standin.Column) bool { return c.Name == name })
		switch {
		case c < 0:
			unknown = append(unknown, i)
		case b.at[c] >= 0:
			report(badValue("the header has the column %s twice; leave one out", name), header.line, name, trim(cell))
		default:
			b.at[c] = i
		}
	}
	return unknown
}

func (b *binding) nothing() bool {
	return !slices.ContainsFunc(b.at, func(at int) bool { return at >= 0 })
}

func (b *binding) missing(file standin.File) []standin.Column {
	var missing []standin.Column
	for i, c := range file.Columns {
		if b.at[i] < 0 && c.Required {
			missing = append(missing, c)
		}
	}
	return missing
}

func (b *binding) absent(file standin.File) []string {
	var names []string
	for i, c := range file.Columns {
		if b.at[i] < 0 {
			names = append(names, c.Name)
		}
	}
	return names
}

func unknownColumn(at int, cell string, absent []string) *fault {
	if cell == "" {
		return &fault{code: standin.UnknownColumn, message: "column " + letters(at) + " has no header and is not read; give it one or remove it"}
	}
	f := &fault{code: standin.UnknownColumn, message: "the column " + quoted(cell) + " is not read: this file has none of that name"}
	return f.correct(nearest(normal(cell), absent))
}

func columnNames(file standin.File) []string {
	var names []string
	for _, c := range file.Columns {
		names = append(names, c.Name)
	}
	return names
}
