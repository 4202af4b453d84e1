package importer

import (
	"errors"
	"io"
	"slices"

	"standin"
	"standin/importer/table"
)

// binding says where the columns of a file are in its table.
type binding struct {
	at    []int  // for each column of the file its place in a record; -1: absent
	lacks []bool // for each column of the file whether it is absent
	width int    // cells that have a header
}

// bind reads the header. It reports, at the header's line, what is missing,
// unknown or repeated, and returns false where rows would have no key.
func bind(in table.Rows, file standin.File, report func(f *table.Fault, line int, column, value string)) (binding, bool) {
	header, err := in.Next()
	if errors.Is(err, io.EOF) {
		report(table.Unreadable("the file is empty; its first row must be the header: %s", table.List(table.ColumnNames(file))), 0, "", "")
		return binding{}, false
	}
	if err != nil {
		report(table.FaultOf(err), header.Line, "", "")
		return binding{}, false
	}
	b := binding{at: slices.Repeat([]int{-1}, len(file.Columns)), width: len(header.Cells)}
	for b.width > 0 && table.Trim(header.Cells[b.width-1]) == "" {
		b.width--
	}
	unknown := b.place(header, file, report)
	for _, at := range b.at {
		b.lacks = append(b.lacks, at < 0)
	}
	if b.nothing() {
		report(&table.Fault{Code: standin.MissingColumn, Message: "the first row names none of the columns of this file; it must be the header: " +
			table.List(table.ColumnNames(file))}, header.Line, "", header.Cells[0])
		return b, false
	}
	missing := b.missing(file)
	for _, at := range unknown {
		cell := table.Trim(header.Cells[at])
		report(unknownColumn(at, cell, b.absent(file)), header.Line, table.Cut(cell, table.ShownInMessage), cell)
	}
	keyed := true
	for _, c := range missing {
		report(&table.Fault{Code: standin.MissingColumn, Message: "the header has no column " + c.Name + "; add it"}, header.Line, c.Name, "")
		keyed = keyed && !c.Key
	}
	return b, keyed
}

// place finds the columns, and returns the indices of header cells that are none.
func (b *binding) place(header table.Record, file standin.File, report func(*table.Fault, int, string, string)) (unknown []int) {
	for i, cell := range header.Cells[:b.width] {
		name := table.Normal(cell)
		c := slices.IndexFunc(file.Columns, func(c standin.Column) bool { return c.Name == name })
		switch {
		case c < 0:
			unknown = append(unknown, i)
		case b.at[c] >= 0:
			report(table.BadValue("the header has the column %s twice; leave one out", name), header.Line, name, table.Trim(cell))
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

// left returns the columns that the table leaves as they are recorded.
func (b *binding) left(file standin.File) []string {
	var names []string
	for i, c := range file.Columns {
		if b.lacks[i] && !c.Key {
			names = append(names, c.Name)
		}
	}
	return names
}

func unknownColumn(at int, cell string, absent []string) *table.Fault {
	if cell == "" {
		return &table.Fault{Code: standin.UnknownColumn, Message: "column " + table.ColumnLetters(at) + " has no header and is not read; give it one or remove it"}
	}
	f := &table.Fault{Code: standin.UnknownColumn, Message: "the column " + table.Quoted(cell) + " is not read: this file has none of that name"}
	return f.Correct(standin.NearestName(table.Normal(cell), absent))
}
