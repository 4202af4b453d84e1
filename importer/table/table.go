package table

import (
	"context"

	"standin"
)

// Table is one table of a bundle, wherever it comes from.
type Table struct {
	File standin.File
	Name string                                  // as it is named in the bundle, with its ending
	Open func(ctx context.Context) (Rows, error) // reading ends with the context

	// Origin, for a table derived from another, turns a finding about one of its rows
	// into one about the other table, and reports whether it is new. place is that of
	// a symbol within a code, or 0.
	Origin func(x standin.Finding, place int) (standin.Finding, bool)
}

// Report adds a finding about the table.
func (t Table) Report(out *Findings, x standin.Finding, place int) {
	isNew := true
	if t.Origin != nil {
		x, isNew = t.Origin(x, place)
	}
	if isNew {
		out.Add(x)
	}
}

// Rows are the rows of an open table.
type Rows interface {
	// Next returns the next row that has anything in it, the header first, and
	// io.EOF after the last. The cells are valid until the next call. With a *Fault
	// the row's line is set; Ends says whether rows may follow.
	Next() (Record, error)

	// Read says how the table's text was understood.
	Read() Reading

	Close() error
}

// Record is one row of a table: its first line, counted from 1, and its cells.
type Record struct {
	Line  int
	Cells []string
	Kinds []CellKind     // what a spreadsheet says the cells are; shorter where it says nothing
	Wrong map[int]*Fault // cells that show no value, with the reason, or Reported, or Absent
}

// Cell returns the trimmed text of a cell, "" beyond the last.
func (r Record) Cell(at int) string {
	if at >= len(r.Cells) {
		return ""
	}
	return Trim(r.Cells[at])
}

// Kind returns what a spreadsheet says the cell is.
func (r Record) Kind(at int) CellKind {
	if at >= len(r.Kinds) {
		return TextCell
	}
	return r.Kinds[at]
}

// CellKind is what a spreadsheet says a cell is.
type CellKind byte

// The kinds of cells; those of a CSV file are all text.
const (
	TextCell CellKind = iota
	NumberCell
	DateCell
	TruthCell
)

// Reading is how the text of a file was understood.
type Reading struct {
	Encoding  string // UTF-8, UTF-16LE, windows-1252 …; XLSX
	Delimiter string // comma, semicolon or tab; empty in a spreadsheet

	Remarks []*Fault // warnings about the whole, complete when the last row is read
}

// Delimiters of CSV text. Where nothing else decides, an earlier one wins.
var Delimiters = []rune{',', ';', '\t'}

// DelimiterNames are the names of delimiters in mappings and messages.
var DelimiterNames = map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}
