package importer

import (
	"context"
	"errors"
	"io"
	"slices"
	"strings"

	"standin"
)

// supplied is a supplier's table under a mapping. It gives a table for each
// file that the mapping makes of it; what is found in those is said of the
// supplier's rows and headers.
type supplied struct {
	mapping *mapping
	name    string // of the supplier's file
	file    file
	other   charset
	out     *findings
	said    map[standin.Finding]bool // without their messages
	headers []string                 // what findings call the columns
	own     []string                 // their headers
	full    []string                 // … with those above them, where the header has several rows
	line    int                      // of the header
	places  map[ref]int              // columns of the table
	width   int                      // columns that have a header or are read
	lacking map[string]bool          // files of which a column is not there
}

// open opens the supplier's table and passes its header.
func (s *supplied) open(ctx context.Context) (rows, header, error) {
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
	line int      // of its last row
	own  []string // its last row
	full []string // each with what stands above it
}

// header reads the rows of the header. Where it has several, an empty cell in
// an upper row continues the one to its left, as merged cells do.
func (s *supplied) header(in rows) (header, error) {
	var h header
	var above [][]string
	for left := s.mapping.header; ; {
		row, err := in.Next()
		switch {
		case errors.Is(err, io.EOF):
			return h, unreadable("the table has no header%s", s.expectedAt())
		case err != nil:
			return h, err
		case len(left) > 0 && row.line < left[0]:
			continue
		case len(left) > 0 && row.line > left[0]:
			return h, unreadable("row %d is to be the header, but is empty", left[0])
		}
		if len(left) > 0 {
			left = left[1:]
		}
		h.line, h.own = row.line, nil
		for _, cell := range row.cells {
			h.own = append(h.own, trim(cell))
		}
		if above = append(above, h.own); len(left) == 0 {
			h.full = joinHeaders(above)
			return h, nil
		}
	}
}

func (s *supplied) expectedAt() string {
	if len(s.mapping.header) == 0 {
		return ""
	}
	return "; the mapping expects it in row " + spans{{s.mapping.header[0], s.mapping.header[len(s.mapping.header)-1]}}.String()
}

// joinHeaders puts the rows of a header together, the last of which says itself
// where it is empty.
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
			joined[at] = trim(joined[at] + " " + own)
		}
	}
	return joined
}

// survey looks for the mapping's columns in the header. What is not there, and
// what is there and not used, is reported; without ok nothing can be read.
func (s *supplied) survey(ctx context.Context) (ok bool) {
	in, header, err := s.open(ctx)
	if err != nil {
		if ctx.Err() == nil {
			s.out.add(faultOf(err).in(s.name))
		}
		return false
	}
	defer in.Close()
	s.own, s.full, s.line = header.own, header.full, header.line
	s.headers, s.width = slices.Clone(s.own), len(s.own)
	s.places, s.lacking = map[ref]int{}, map[string]bool{}
	used := map[int]bool{}
	for _, e := range s.mapping.entries {
		for _, r := range e.refs() {
			at, f := s.find(r)
			if f != nil {
				s.report(f, header.line, r.String(), "")
				s.lacking[e.file.Name] = true
				continue
			}
			s.places[r], used[at] = at, true
			s.width = max(s.width, at+1)
		}
	}
	for at, cell := range s.headers {
		if cell != "" && !used[at] {
			f := &fault{code: standin.UnknownColumn, message: "the column " + quoted(cell) + " is not read: the mapping does not use it"}
			s.report(f, header.line, cut(cell, shownInMessage), cell)
		}
	}
	return true
}

// find is the place of a column: by its header with what stands above it, else
// by its header alone. Findings then call it as the mapping does.
func (s *supplied) find(r ref) (int, *fault) {
	if r.letter >= 0 {
		return r.letter, nil
	}
	at := headedSo(s.full, r.header)
	if len(at) == 0 {
		at = headedSo(s.own, r.header)
	}
	switch len(at) {
	case 0:
		f := &fault{code: standin.MissingColumn, message: "the table has no column " + quoted(r.header) + ", which the mapping reads"}
		return 0, f.correct(nearest(r.header, s.own))
	case 1:
		s.headers[at[0]] = r.header
		return at[0], nil
	}
	return 0, badValue("the table has the column %s several times; write the letter of the one that is meant, such as letter: %s", quoted(r.header), letters(at[0]))
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

// headed is a header without regard to case and to how much white space it has.
func headed(cell string) string {
	return strings.ToLower(strings.Join(strings.FieldsFunc(cell, unseen), " "))
}

// label is how the table of a file is called while it is taken in.
func (s *supplied) label(file standin.File) string { return s.name + " (" + file.Name + ")" }

// tables are the tables of the files that the mapping makes, those that lack a
// column left out.
func (s *supplied) tables(ctx context.Context, other charset, lost map[string]bool) []table {
	s.other = other
	if s.out.errors() > 0 || !s.survey(ctx) {
		return nil
	}
	var all []table
	for _, file := range standin.Files {
		if len(s.entriesOf(file)) == 0 {
			continue
		}
		if s.lacking[file.Name] {
			lost[file.Name] = true
			continue
		}
		all = append(all, table{
			file: file, name: s.label(file),
			open:   func(ctx context.Context) (rows, error) { return s.derive(ctx, file) },
			origin: func(x standin.Finding, place int) (standin.Finding, bool) { return s.origin(file, x, place) },
		})
	}
	return all
}

func (s *supplied) entriesOf(file standin.File) []entry {
	var all []entry
	for _, e := range s.mapping.entries {
		if e.file.Name == file.Name {
			all = append(all, e)
		}
	}
	return all
}
