package mapping

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"standin/importer/table"
)

// Explained is how the first rows of a table go through a mapping.
type Explained struct {
	Columns []ExplainedColumn
	Rows    []ExplainedRow
}

// ExplainedColumn is a column of the table with what the mapping makes of it.
type ExplainedColumn struct {
	Letters, Header string
	Becomes         []string // file.column, or what else it is used for; none: it is not read
}

// ExplainedRow is a row of the table.
type ExplainedRow struct {
	Line  int
	Not   string          // why it is no data; empty: it is
	Makes []ExplainedMade // the rows of files that it becomes
	Wrong []string        // what the mapping cannot read of it
}

// ExplainedMade is a row of a file.
type ExplainedMade struct {
	File  string // without its ending
	Cells []ExplainedCell
}

// ExplainedCell is a value with the cells of the table that it is made from.
type ExplainedCell struct{ Column, Value, From string }

// Explain shows the first rows of the supplied table, as many as that, cell by cell. What
// is wrong with the mapping or the table as a whole is among the findings, and then there
// is nothing to show. The error is the context's.
func (s *Supplied) Explain(ctx context.Context, most int) (*Explained, error) {
	if !s.survey(ctx) {
		return nil, context.Cause(ctx)
	}
	opened, header, err := s.open(ctx)
	if err != nil {
		return nil, err
	}
	defer opened.Close()
	x := &Explained{Columns: s.explainColumns()}
	in := s.shape(opened, header)
	in.passed = func(line int, why string) { x.Rows = append(x.Rows, ExplainedRow{Line: line, Not: why}) }
	var makers []*maker
	for _, e := range s.mapping.entries {
		makers = append(makers, newMaker(s, e))
	}
	for shown := 0; shown < most; shown++ {
		row, err := in.Next()
		var f *table.Fault
		switch {
		case errors.Is(err, io.EOF):
			return x, nil
		case ctx.Err() == nil && errors.As(err, &f):
			x.Rows = append(x.Rows, ExplainedRow{Line: row.Line, Not: f.Message})
			if f.Ends {
				return x, nil
			}
		case err != nil:
			return nil, err
		default:
			x.Rows = append(x.Rows, s.explainRow(makers, row))
		}
	}
	return x, nil
}

// explainRow shows what one row becomes.
func (s *Supplied) explainRow(makers []*maker, row record) ExplainedRow {
	shown := ExplainedRow{Line: row.Line}
	reported := s.reported
	s.reported = func(f *table.Fault, line int, column string) {
		where := ""
		if line != row.Line {
			where = fmt.Sprintf("row %d, ", line)
		}
		if said := where + column + ": " + f.Message; !slices.Contains(shown.Wrong, said) {
			shown.Wrong = append(shown.Wrong, said)
		}
	}
	defer func() { s.reported = reported }()
	for _, m := range makers {
		for _, one := range m.rows(row) {
			made := ExplainedMade{File: m.entry.file.Name}
			for c, cell := range m.entry.cells {
				if cell == nil || one.cells[c] == "" && len(cell.from) == 0 {
					continue
				}
				value := one.cells[c]
				if one.faulty&(1<<c) != 0 {
					value = "?"
				}
				made.Cells = append(made.Cells, ExplainedCell{cell.column.Name, value, s.explainFrom(cell, row)})
			}
			shown.Makes = append(shown.Makes, made)
		}
	}
	return shown
}

// explainFrom names the cells of the table that a value is made from.
func (s *Supplied) explainFrom(c *cell, row record) string {
	if c.constant != "" {
		return "constant"
	}
	var all []string
	for _, r := range (entry{cells: []*cell{c}}).refs() {
		at := s.places[r]
		line, column := row.place(at)
		name := table.ColumnLetters(column)
		if column >= firstAdded {
			name = s.headerAt(column) + " "
		}
		all = append(all, fmt.Sprintf("%s%d %s", name, line, table.Quoted(row.Cell(at))))
	}
	return strings.Join(all, ", ")
}

// explainColumns lists the columns of the table with their uses.
func (s *Supplied) explainColumns() []ExplainedColumn {
	uses := map[int][]string{}
	use := func(r ref, what string) {
		if at := s.places[r]; !slices.Contains(uses[at], what) {
			uses[at] = append(uses[at], what)
		}
	}
	for _, e := range s.mapping.entries {
		for _, c := range e.cells {
			if c == nil {
				continue
			}
			for _, r := range (entry{cells: []*cell{c}}).refs() {
				use(r, e.file.Name+"."+c.column.Name)
			}
		}
	}
	for _, x := range s.mapping.sections {
		use(x.ref, "headings that become "+x.name)
	}
	s.explainPivot(uses, use)
	last := len(s.headers) - 1
	for at := range uses {
		if at < firstAdded {
			last = max(last, at)
		}
	}
	var all []ExplainedColumn
	for at := range last + 1 {
		all = append(all, ExplainedColumn{table.ColumnLetters(at), s.ownAt(at), uses[at]})
	}
	return all
}

// explainPivot has the columns that a pivot joins become what its own columns become.
func (s *Supplied) explainPivot(uses map[int][]string, use func(ref, string)) {
	p := s.mapping.pivot
	if p == nil {
		return
	}
	for i := range p.columns {
		for _, what := range uses[firstAdded+len(s.mapping.sections)+i] {
			use(p.name, what)
			use(p.value, what)
		}
	}
}

// String is the whole as text, at most about 100 columns wide where cells are not longer.
func (x *Explained) String() string {
	var b strings.Builder
	b.WriteString("Columns\n")
	for _, c := range x.Columns {
		becomes := "not read"
		if len(c.Becomes) > 0 {
			becomes = table.List(c.Becomes)
		}
		fmt.Fprintf(&b, "  %-3s %-24s -> %s\n", c.Letters, table.Cut(oneLine(c.Header), 24), becomes)
	}
	for _, r := range x.Rows {
		if r.Not != "" {
			fmt.Fprintf(&b, "\nRow %d: %s\n", r.Line, oneLine(r.Not))
			continue
		}
		fmt.Fprintf(&b, "\nRow %d\n", r.Line)
		for _, m := range r.Makes {
			fmt.Fprintf(&b, "  %s\n", m.File)
			for _, c := range m.Cells {
				fmt.Fprintf(&b, "    %-13s %-24s <- %s\n", c.Column, oneLine(c.Value), oneLine(c.From))
			}
		}
		for _, wrong := range r.Wrong {
			fmt.Fprintf(&b, "  error: %s\n", oneLine(wrong))
		}
	}
	return b.String()
}
