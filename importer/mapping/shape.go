package mapping

import (
	"errors"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"standin"
	"standin/importer/table"
)

// section says in which column headings stand that hold for the rows below them.
type section struct {
	name string // of the column that is added
	ref
	match *regexp.Regexp // a heading matches it, and its group is what it says; nil: all of it
}

// pivot says how several rows, one for each read-back point or the like, become one.
type pivot struct {
	by      []ref    // columns that say the same, or are empty below the first row
	name    ref      // the column that names the point
	value   ref      // the column that says what the point shows
	columns []string // the points, each of which becomes a column
}

// record is a row of the table, with the columns that the mapping adds.
type record struct {
	table.Record
	added []addedCell
}

// addedCell is a cell that stands elsewhere in the table.
type addedCell struct {
	text  string
	line  int
	at    int // column of the table
	fault *table.Fault
}

// firstAdded is the place of the first column that the mapping adds.
const firstAdded = table.MostColumns

// Cell returns the trimmed text of a cell, "" beyond the last.
func (r record) Cell(at int) string {
	if at >= firstAdded {
		return r.added[at-firstAdded].text
	}
	return r.Record.Cell(at)
}

// Kind returns what a spreadsheet says the cell is.
func (r record) Kind(at int) table.CellKind {
	if at >= firstAdded {
		return table.TextCell
	}
	return r.Record.Kind(at)
}

// fault returns what is wrong with a cell, nil for nothing; text is what it says.
func (r record) fault(at int, text string) *table.Fault {
	if at >= firstAdded {
		return r.added[at-firstAdded].fault
	}
	if f := r.Wrong[at]; f != nil {
		return f
	}
	return table.Plain(text)
}

// place returns the line and the column of the table where a cell stands.
func (r record) place(at int) (line, column int) {
	if at >= firstAdded {
		if a := r.added[at-firstAdded]; a.line > 0 {
			return a.line, a.at
		}
	}
	return r.Line, at
}

// shaped are the rows of a table that are data, a row at a time.
type shaped struct {
	table.Rows
	supplied *Supplied
	header   header
	added    []addedCell // what holds for the rows below: headings
	next     *record     // the first row of the next group of a pivot
	err      error       // returned once the group before it is
	errLine  int
	passed   func(line int, why string) // is told of rows that are no data; may be nil
}

// shape returns the rows of a table, the header of which has been read.
func (s *Supplied) shape(in table.Rows, h header) *shaped {
	return &shaped{Rows: in, supplied: s, header: h, added: make([]addedCell, len(s.mapping.added()))}
}

// Next returns the next row that is data. The record is valid until the next call.
func (t *shaped) Next() (record, error) {
	m := t.supplied.mapping
	if m.pivot == nil {
		return t.data()
	}
	first, err := t.first()
	if err != nil {
		return first, err
	}
	p := t.begin(first)
	for {
		row, err := t.data()
		if err == nil && !p.continues(row) {
			row = row.clone()
			t.next = &row
		}
		if err != nil || t.next != nil {
			t.err, t.errLine = err, row.Line
			return p.record, nil
		}
		p.take(row)
	}
}

// first returns the row with which a group begins.
func (t *shaped) first() (record, error) {
	if t.err != nil && !errors.Is(t.err, io.EOF) {
		err := t.err
		t.err = nil
		return record{Record: table.Record{Line: t.errLine}}, err
	}
	if t.next != nil {
		row := *t.next
		t.next = nil
		return row, nil
	}
	row, err := t.data()
	return row.clone(), err
}

func (r record) clone() record {
	r.Cells, r.Kinds, r.Wrong = slices.Clone(r.Cells), slices.Clone(r.Kinds), maps.Clone(r.Wrong)
	r.added = slices.Clone(r.added)
	return r
}

// data returns the next row of the table itself that is data.
func (t *shaped) data() (record, error) {
	m := t.supplied.mapping
	for {
		row, err := t.Rows.Next()
		if err != nil {
			return record{Record: row}, err
		}
		if why := t.not(row); why != "" {
			if t.passed != nil {
				t.passed(row.Line, why)
			}
			continue
		}
		r := record{row, t.added}
		if m.notes != nil {
			r = t.supplied.withNotes(r)
		}
		return r, nil
	}
}

// not says why a row is no data, "" for one that is. A heading holds for the rows below.
func (t *shaped) not(row table.Record) string {
	m := t.supplied.mapping
	if m.skip.Has(row.Line) {
		return "skipped by its number"
	}
	if m.starting == nil && !m.repeated && m.notes == nil && m.sections == nil {
		return ""
	}
	first, filled := firstCell(row)
	text := fold(row.Cell(first))
	switch {
	case slices.ContainsFunc(m.starting, func(s string) bool { return beginsWith(text, s) }):
		return "skipped by how it begins"
	case m.repeated && t.header.repeatedBy(row):
		return "it repeats the header"
	case m.notes != nil && m.notes.legend(row, first, filled):
		return "it explains a footnote"
	case filled == 1 && t.heading(row, first):
		return "a heading, which holds for the rows below"
	}
	return ""
}

// beginsWith reports whether text begins with words that end there.
func beginsWith(text, words string) bool {
	rest, found := strings.CutPrefix(text, words)
	if !found || rest == "" || words == "" {
		return found
	}
	next, last := []rune(rest)[0], []rune(words)
	return !unicode.IsLetter(next) || !unicode.IsLetter(last[len(last)-1])
}

// firstCell returns the first cell that is not empty, and how many are not.
func firstCell(row table.Record) (first, filled int) {
	for at := range row.Cells {
		if row.Cell(at) == "" {
			continue
		}
		if filled == 0 {
			first = at
		}
		filled++
	}
	return first, filled
}

// repeatedBy reports whether a row says what a row of the header says.
func (h header) repeatedBy(row table.Record) bool {
	return slices.ContainsFunc(h.rows, func(own []string) bool {
		for at := range max(len(own), len(row.Cells)) {
			said := ""
			if at < len(own) {
				said = own[at]
			}
			if headed(row.Cell(at)) != headed(said) {
				return false
			}
		}
		return true
	})
}

// heading reports whether a row with one cell is a heading, which is then remembered.
func (t *shaped) heading(row table.Record, first int) bool {
	for i, s := range t.supplied.mapping.sections {
		if t.supplied.places[s.ref] != first {
			continue
		}
		text := row.Cell(first)
		if s.match != nil {
			m := s.match.FindStringSubmatch(text)
			if m == nil {
				continue
			}
			text = table.Trim(m[1])
		}
		fault := row.Wrong[first]
		if fault == nil {
			fault = table.Plain(text)
		}
		t.added = slices.Clone(t.added) // rows before may still be in use
		t.added[i] = addedCell{text, row.Line, first, fault}
		return true
	}
	return false
}

// group is what rows become that a pivot joins.
type group struct {
	record
	supplied *Supplied
	pivot    *pivot
	from     int // of the pivot's columns among those that are added
}

// begin returns the group that begins with a row.
func (t *shaped) begin(first record) *group {
	g := &group{first, t.supplied, t.supplied.mapping.pivot, len(t.supplied.mapping.sections)}
	g.take(first)
	return g
}

// continues reports whether a row belongs to the group: what it says in the columns by
// which rows are joined is the same, or nothing.
func (g *group) continues(row record) bool {
	return !slices.ContainsFunc(g.pivot.by, func(r ref) bool {
		at := g.supplied.places[r]
		text := row.Cell(at)
		return text != "" && text != g.Cell(at)
	})
}

// take puts what the row says of one point into its column. What cannot be placed is a
// finding, and so is a point of which two rows say different things.
func (g *group) take(row record) {
	name, value := g.supplied.places[g.pivot.name], g.supplied.places[g.pivot.value]
	fault := row.fault(name, row.Cell(name))
	point := slices.IndexFunc(g.pivot.columns, func(c string) bool { return headed(c) == headed(row.Cell(name)) })
	if fault == nil && point < 0 {
		fault = table.BadValue("%s is none of the columns of the pivot (%s)", table.Quoted(row.Cell(name)), table.List(g.pivot.columns))
		fault = fault.Correct(standin.NearestName(row.Cell(name), g.pivot.columns))
	}
	if fault != nil {
		g.supplied.report(fault, row.Line, g.supplied.headerAt(name), row.Cell(name))
		return
	}
	cell := &g.added[g.from+point]
	said := addedCell{row.Cell(value), row.Line, value, row.fault(value, row.Cell(value))}
	if cell.line > 0 && cell.text != said.text {
		said.fault = table.BadValue("the row says %s of %s, but line %d says %s", table.Quoted(said.text), table.Quoted(g.pivot.columns[point]), cell.line, table.Quoted(cell.text))
	}
	*cell = said
}
