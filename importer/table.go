package importer

import (
	"context"
	"fmt"
	"io"

	"standin"
)

// table is one table of a bundle, wherever it comes from.
type table struct {
	file standin.File
	name string                                  // as it is named in the bundle, with its ending
	open func(ctx context.Context) (rows, error) // reading ends with the context

	// origin, where a table is made of another, is a finding about its row as
	// one about the other's, and whether that is news. place is that of a symbol
	// within a code, 0 without one.
	origin func(x standin.Finding, place int) (standin.Finding, bool)
}

// report adds a finding about the table.
func (t table) report(out *findings, x standin.Finding, place int) {
	news := true
	if t.origin != nil {
		x, news = t.origin(x, place)
	}
	if news {
		out.add(x)
	}
}

// rows are the rows of an open table.
type rows interface {
	// Next is the next row that has anything in it, the header first, io.EOF
	// after the last. The cells are good until the next call. With a *fault
	// the row's line is set; whether rows follow is the fault's to say.
	Next() (record, error)

	// Read says how the table's text was understood.
	Read() Reading

	Close() error
}

// record is one row as it stands in a table: its first line, counted from 1,
// and its cells.
type record struct {
	line  int
	cells []string
	kinds []cellKind     // what a spreadsheet says the cells are; shorter where it says nothing
	wrong map[int]*fault // cells that show no value, with why; or told, where it has been said
}

// told stands for a fault of a cell that has been reported.
var told = &fault{}

// Reading is how the text of a file was understood.
type Reading struct {
	Encoding  string // UTF-8, UTF-16LE, windows-1252 …; XLSX
	Delimiter string // comma, semicolon or tab; empty in a spreadsheet

	remarks []*fault // warnings about the whole, complete when the last row is read
}

// fault is what is wrong with a cell, a row or a whole file, before its place
// is known. It is an error so that readers can return it; it becomes a Finding.
type fault struct {
	code       string
	message    string // one sentence, without the place
	correction string // what would be right, where it can be said
	place      int    // of a symbol in a code, from 1
	line       int    // of a fault in a whole file, where it was seen; 0: nowhere in particular
	ends       bool   // nothing after it can be read
}

func (f *fault) Error() string { return f.message }

func (f *fault) correct(text string) *fault {
	f.correction = text
	return f
}

func badValue(format string, args ...any) *fault {
	return &fault{code: standin.BadValue, message: fmt.Sprintf(format, args...)}
}

func missingValue(format string, args ...any) *fault {
	return &fault{code: standin.MissingValue, message: fmt.Sprintf(format, args...)}
}

func unreadable(format string, args ...any) *fault {
	return &fault{code: standin.UnreadableFile, message: fmt.Sprintf(format, args...), ends: true}
}

// untilDone is a reader that ends with the error of a context.
type untilDone struct {
	ctx context.Context
	io.Reader
}

func (u untilDone) Read(p []byte) (int, error) {
	if u.ctx.Err() != nil {
		return 0, context.Cause(u.ctx)
	}
	return u.Reader.Read(p)
}
