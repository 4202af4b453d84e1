package importer

import (
	"context"
	"errors"
	"io"
	"iter"

	"standin"
	"standin/importer/table"
)

// intake reads one table: it binds the header, parses the rows and passes on those
// that have a key.
type intake struct {
	table table.Table
	in    table.Rows
	bound binding
	rules []rule
	out   *table.Findings
	row   row  // the row being parsed; its slices but the cells are used again
	count int  // rows read
	gaps  bool // there may be rows that could not be read
}

// begin opens a table and binds its header. Where ok is false nothing of it can be
// read; what is wrong with it is reported.
func begin(ctx context.Context, t table.Table, families shapes, out *table.Findings) (i *intake, ok bool) {
	i = &intake{table: t, out: out}
	in, err := t.Open(ctx)
	if err != nil {
		t.Report(out, table.FaultOf(err).In(t.Name), 0)
		return i, false
	}
	i.in = in
	if i.bound, ok = bind(in, t.File, i.report); !ok {
		in.Close()
		return i, false
	}
	i.rules = rulesOf(t.File, families)
	i.row = row{raw: make([]string, len(t.File.Columns)), faulty: make([]bool, len(t.File.Columns)), absent: make([]bool, len(t.File.Columns))}
	return i, true
}

func (i *intake) report(f *table.Fault, line int, column, value string) {
	i.table.Report(i.out, f.At(i.table.Name, line, column, value), f.Place)
}

// all yields the rows to stage. An error is the context's.
func (i *intake) all(ctx context.Context) iter.Seq2[standin.Row, error] {
	return func(yield func(standin.Row, error) bool) {
		for {
			record, err := i.in.Next()
			if errors.Is(err, io.EOF) {
				return
			}
			if err != nil && ctx.Err() != nil {
				yield(standin.Row{}, context.Cause(ctx))
				return
			}
			if err != nil {
				f := table.FaultOf(err)
				i.report(f, record.Line, "", "")
				i.gaps = true
				if f.Ends {
					return
				}
				continue
			}
			i.count++
			if row, ok := i.parse(record); ok && !yield(row, nil) {
				return
			}
		}
	}
}

// parse turns a record into a row. It is not ok where its key is not whole, or
// where a rule keeps it back.
func (i *intake) parse(record table.Record) (standin.Row, bool) {
	columns := i.table.File.Columns
	r := &i.row
	clear(r.raw)
	clear(r.faulty)
	*r = row{intake: i, line: record.Line, raw: r.raw, cells: make([]any, len(columns)), faulty: r.faulty, absent: r.absent, shifted: i.tooWide(record)}
	copy(r.absent, i.bound.lacks)
	for c, column := range columns {
		switch at := i.bound.at[c]; {
		case r.shifted && !column.Key:
			r.faulty[c], r.absent[c] = true, true
		case at >= 0 && record.Wrong[at] == table.Absent:
			r.absent[c] = true
		case at >= 0 && record.Wrong[at] != nil:
			r.spoilt(c, record.Cell(at), record.Wrong[at])
		case at >= 0:
			r.parse(c, column, record.Cell(at))
		case column.Required:
			r.faulty[c], r.absent[c] = true, false // the header's fault, said once
		}
	}
	for _, rule := range i.rules {
		rule(r)
	}
	return r.result()
}

// tooWide reports the first cell beyond the header that has something in it.
func (i *intake) tooWide(record table.Record) bool {
	for at := i.bound.width; at < len(record.Cells); at++ {
		if cell := table.Trim(record.Cells[at]); cell != "" {
			i.report(table.TooManyCells(), record.Line, "", cell)
			return true
		}
	}
	return false
}

// row is one row while it is parsed, with one cell per column of its file.
type row struct {
	intake   *intake
	line     int
	raw      []string // the cells as they stand there, trimmed
	cells    []any
	faulty   []bool
	absent   []bool // the row has no such column; never of a key column
	shifted  bool   // it has too many cells: nothing but its key is believed, and no more said
	withheld bool   // a rule keeps it back
}

func (r *row) parse(at int, column standin.Column, text string) {
	r.raw[at] = text
	if text == "" {
		if column.Required {
			r.fault(at, table.MissingValue("the cell is empty; every row of this file needs its %s", column.Name))
		}
		return
	}
	value, f := parseCell(column, text)
	if f != nil {
		r.fault(at, f)
		return
	}
	r.cells[at] = value
}

// spoilt is a cell that shows no value.
func (r *row) spoilt(at int, text string, f *table.Fault) {
	r.raw[at], r.faulty[at] = text, true
	if f != table.Reported {
		r.fault(at, f)
	}
}

// fault reports a cell and leaves it as not recorded.
func (r *row) fault(at int, f *table.Fault) {
	if !r.shifted {
		r.intake.report(f, r.line, r.intake.table.File.Columns[at].Name, r.raw[at])
	}
	r.cells[at], r.faulty[at] = nil, true
}

func (r *row) result() (standin.Row, bool) {
	if r.withheld || r.shifted && !referred[r.intake.table.File.Name] {
		return standin.Row{}, false
	}
	for c, column := range r.intake.table.File.Columns {
		switch {
		case column.Key && r.faulty[c]:
			return standin.Row{}, false
		case r.absent[c] && !column.Key:
			r.cells[c] = standin.Absent{}
		}
	}
	return standin.Row{Line: r.line, Cells: r.cells}, true
}
