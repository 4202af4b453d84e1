package mapping

import (
	"context"
	"errors"
	"io"
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// Source is a file, or a sheet of a workbook, that may hold the supplier's table.
// Open is given known, which reports whether a header is one of those wanted and
// helps to detect the delimiter of a CSV file, and the delimiter where it is not 0. A
// sheet needs neither.
type Source struct {
	Name  string
	Sheet bool
	Open  func(ctx context.Context, known func(header string) bool, delimiter rune) (table.Rows, error)
}

// New returns the supplier's table of a name. Choose must be called before its rows
// are read.
func New(name string, m *Mapping, out *table.Findings) *Supplied {
	return &Supplied{Name: name, mapping: m, out: out, said: map[standin.Finding]bool{}}
}

// Supplied is a supplier's table under a mapping. It provides a table for each file
// that the mapping derives from it; findings about these are turned into findings
// about the supplier's rows and headers.
type Supplied struct {
	mapping *Mapping
	Name    string // of the supplier's file
	Source  Source
	out     *table.Findings
	said    map[standin.Finding]bool // without their messages
	headers []string                 // what findings call the columns
	own     []string                 // their headers
	full    []string                 // … with those above them, where the header has several rows
	line    int                      // of the header
	places  map[ref]int              // columns of the table
	width   int                      // columns that have a header or are read
	lacking map[string]bool          // files of which a column is not there

	reported func(f *table.Fault, line int, column string) // is told in place of out, unless nil
}

// Choose takes the sheet that the mapping names, else the first, and reports that the
// others are not read.
func (s *Supplied) Choose(all []Source) {
	var names []string
	chosen := -1
	for i, f := range all {
		names = append(names, f.Name)
		if chosen < 0 && (!f.Sheet || s.mapping.sheet == "" || headed(f.Name) == headed(s.mapping.sheet)) {
			chosen = i
		}
	}
	if chosen < 0 {
		f := table.Unreadable("the workbook has no sheet %s that is shown; it has %s", table.Quoted(s.mapping.sheet), table.List(names))
		s.out.Add(f.Correct(standin.NearestName(s.mapping.sheet, names)).In(s.Name))
		return
	}
	s.Source = all[chosen]
	for i, f := range all {
		if i != chosen {
			s.out.Add((&table.Fault{Code: standin.UnknownFile, Message: "the sheet is not read: the mapping takes " + table.Quoted(s.Source.Name)}).In(f.Name))
		}
	}
}

// rows opens the rows of the supplier's table.
func (s *Supplied) rows(ctx context.Context) (table.Rows, error) {
	return s.Source.Open(ctx, s.uses, s.mapping.delimiter)
}

// Chosen reports whether the supplier's table is known.
func (s *Supplied) Chosen() bool { return s.Source.Name != "" }

// Delimiter returns the delimiter that the mapping names, 0 without one.
func (s *Supplied) Delimiter() rune { return s.mapping.delimiter }

// uses reports whether the mapping reads a column of that header.
func (s *Supplied) uses(header string) bool {
	for _, e := range s.mapping.entries {
		for _, r := range e.refs() {
			if r.letter < 0 && headed(r.header) == headed(header) {
				return true
			}
		}
	}
	return false
}

// HeaderLine returns the line of the header, 0 where it cannot be read.
func (s *Supplied) HeaderLine(ctx context.Context) int {
	in, h, err := s.open(ctx)
	if err != nil {
		return 0
	}
	in.Close()
	return h.line
}

// open opens the supplier's table and passes its header.
func (s *Supplied) open(ctx context.Context) (table.Rows, header, error) {
	in, err := s.rows(ctx)
	if err != nil {
		return nil, header{}, err
	}
	h, err := s.header(in)
	if err != nil {
		in.Close()
		return nil, header{}, err
	}
	return in, h, nil
}

// header is the header of a supplier's table.
type header struct {
	line int        // of its last row
	own  []string   // its last row
	full []string   // each with what stands above it
	rows [][]string // all of its rows
}

// header reads the rows of the header. Where it has several, an empty cell in
// an upper row continues the one to its left, as merged cells do.
func (s *Supplied) header(in table.Rows) (header, error) {
	var h header
	if s.mapping.headless {
		return h, nil
	}
	for left := s.mapping.header; ; {
		row, err := in.Next()
		switch {
		case errors.Is(err, io.EOF):
			return h, table.Unreadable("the table has no header%s", s.expectedAt())
		case err != nil:
			return h, err
		case len(left) > 0 && row.Line < left[0]:
			continue
		case len(left) > 0 && row.Line > left[0]:
			return h, table.Unreadable("row %d is to be the header, but is empty", left[0])
		}
		if len(left) > 0 {
			left = left[1:]
		}
		h.line, h.own = row.Line, nil
		for _, cell := range row.Cells {
			h.own = append(h.own, table.Trim(cell))
		}
		if h.rows = append(h.rows, h.own); len(left) == 0 {
			h.full = joinHeaders(h.rows)
			return h, nil
		}
	}
}

func (s *Supplied) expectedAt() string {
	if len(s.mapping.header) == 0 {
		return ""
	}
	return "; the mapping expects it in row " + table.Spans{{From: s.mapping.header[0], To: s.mapping.header[len(s.mapping.header)-1]}}.String()
}

// joinHeaders joins the rows of a header into one text per column. An empty cell
// continues the one to its left, except in the last row.
func joinHeaders(all [][]string) []string {
	var joined []string
	for _, row := range all {
		joined = append(joined, slices.Repeat([]string{""}, max(0, len(row)-len(joined)))...)
	}
	for i, row := range all {
		left := ""
		for at := range joined {
			own := ""
			if at < len(row) {
				own = row[at]
			}
			if own == "" && i < len(all)-1 {
				own = left
			}
			left = own
			joined[at] = table.Trim(joined[at] + " " + own)
		}
	}
	return joined
}

// survey looks for the mapping's columns in the header. It reports columns that are
// missing and columns that are not used. Where ok is false nothing can be read.
func (s *Supplied) survey(ctx context.Context) (ok bool) {
	in, header, err := s.open(ctx)
	if err != nil {
		if ctx.Err() == nil {
			s.out.Add(table.FaultOf(err).In(s.Name))
		}
		return false
	}
	defer in.Close()
	s.own, s.full, s.line = header.own, header.full, header.line
	s.headers = append(slices.Clone(s.own), make([]string, len(s.full)-len(s.own))...) // a row above may be longer
	s.width = len(s.headers)
	if s.mapping.headless {
		s.width = table.MostColumns
	}
	s.places, s.lacking = map[ref]int{}, map[string]bool{}
	used := map[int]bool{}
	ok = true
	for _, r := range s.mapping.refs() {
		ok = s.placed(r, used) && ok
	}
	for _, e := range s.mapping.entries {
		for _, r := range e.refs() {
			if !s.placed(r, used) {
				s.lacking[e.file.Name] = true
			}
		}
	}
	for at, cell := range s.headers {
		if cell != "" && !used[at] {
			f := &table.Fault{Code: standin.UnknownColumn, Message: "the column " + table.Quoted(cell) + " is not read: the mapping does not use it"}
			s.report(f, header.line, table.Cut(cell, table.ShownInMessage), cell)
		}
	}
	return ok
}

// placed looks for a column that the mapping reads, and reports one that is not there.
func (s *Supplied) placed(r ref, used map[int]bool) bool {
	at, f := s.find(r)
	if f != nil {
		s.report(f, s.line, r.String(), "")
		return false
	}
	s.places[r], used[at] = at, true
	if at < firstAdded {
		s.width = max(s.width, at+1)
	}
	return true
}

// find is the place of a column: by its header with what stands above it, else
// by its header alone. Findings then call it as the mapping does.
func (s *Supplied) find(r ref) (int, *table.Fault) {
	if r.letter >= 0 {
		return r.letter, nil
	}
	if at := headedSo(s.mapping.added(), r.header); len(at) > 0 {
		return firstAdded + at[0], nil
	}
	at := headedSo(s.full, r.header)
	if len(at) == 0 {
		at = headedSo(s.own, r.header)
	}
	switch len(at) {
	case 0:
		f := &table.Fault{Code: standin.MissingColumn, Message: "the table has no column " + table.Quoted(r.header) + ", which the mapping reads"}
		return 0, f.Correct(standin.NearestName(r.header, s.own))
	case 1:
		s.headers[at[0]] = r.header
		return at[0], nil
	}
	return 0, table.BadValue("the table has the column %s several times; write the letter of the one that is meant, such as letter: %s", table.Quoted(r.header), table.ColumnLetters(at[0]))
}

func headedSo(headers []string, name string) []int {
	var at []int
	for i, cell := range headers {
		if headed(cell) == headed(name) {
			at = append(at, i)
		}
	}
	return at
}

// headed returns a header for comparing without regard to case and white space.
func headed(cell string) string {
	return strings.ToLower(strings.Join(strings.FieldsFunc(cell, table.Unseen), " "))
}

// label returns the name of the table of a file in findings before Origin.
func (s *Supplied) label(file standin.File) string { return s.Name + " (" + file.Name + ")" }

// Tables returns the tables of the files that the mapping derives, except those that
// lack a column, which it adds to lost.
func (s *Supplied) Tables(ctx context.Context, lost map[string]bool) []table.Table {
	if s.out.Errors() > 0 || !s.survey(ctx) {
		return nil
	}
	var all []table.Table
	for _, file := range standin.Files {
		if len(s.entriesOf(file)) == 0 {
			continue
		}
		if s.lacking[file.Name] {
			lost[file.Name] = true
			continue
		}
		all = append(all, table.Table{
			File: file, Name: s.label(file),
			Open:   func(ctx context.Context) (table.Rows, error) { return s.derive(ctx, file) },
			Origin: func(x standin.Finding, place int) (standin.Finding, bool) { return s.origin(file, x, place) },
		})
	}
	return all
}

func (s *Supplied) entriesOf(file standin.File) []entry {
	var all []entry
	for _, e := range s.mapping.entries {
		if e.file.Name == file.Name {
			all = append(all, e)
		}
	}
	return all
}
