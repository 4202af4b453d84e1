package mapping

import (
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// report adds a finding about the supplier's table, once.
func (s *Supplied) report(f *table.Fault, line int, column, value string) {
	if s.reported != nil {
		s.reported(f, line, column)
		return
	}
	if x := f.At(s.Name, line, column, value); s.first(x) {
		s.out.Add(x)
	}
}

// mostSaid bounds how many reported findings are remembered.
const mostSaid = 100_000

// first reports whether this is the first finding of its kind about the place. One
// cell of the supplier's may be in many rows of many files.
func (s *Supplied) first(x standin.Finding) bool {
	x.Message, x.Correction = "", ""
	if s.said[x] {
		return false
	}
	if len(s.said) < mostSaid {
		s.said[x] = true
	}
	return true
}

// origin turns a finding about a derived row into one about the supplier's, or
// about the constant in the mapping. place is that of a symbol within a code, 0
// without one. ok is false where the same was reported already.
func (s *Supplied) origin(file standin.File, x standin.Finding, place int) (standin.Finding, bool) {
	x.Message = strings.ReplaceAll(x.Message, s.label(file), s.Name)
	var headers []string
	constant := 0
	for _, e := range s.entriesOf(file) {
		for _, c := range e.cells {
			if c == nil || c.column.Name != x.Column {
				continue
			}
			if c.constant != "" {
				constant = c.line
			}
			headers = append(headers, s.headersOf(c, place, &x)...)
		}
	}
	x.File = s.Name
	switch {
	case len(headers) > 0:
		x.Column = strings.Join(slices.Compact(headers), ", ")
	case constant > 0:
		x.File, x.Line = s.mapping.name, constant
	case x.Column != "":
		x.Message = x.Column + ": " + x.Message
		x.Column = ""
	}
	return x, s.first(x)
}

// headersOf returns the headers of the columns that a cell is made from. For a code
// over several columns it is the one at the place of the symbol, which is then the
// value.
func (s *Supplied) headersOf(c *cell, place int, x *standin.Finding) []string {
	from := entry{cells: []*cell{c}}.refs()
	if symbols := strings.Fields(x.Value); place > 0 && len(from) > 1 && len(symbols) == len(from) {
		from = from[place-1 : place]
		x.Value = symbols[place-1]
		if corrected := strings.Fields(x.Correction); len(corrected) == len(symbols) {
			x.Correction = corrected[place-1]
		}
	}
	var headers []string
	for _, r := range from {
		headers = append(headers, s.headerAt(s.places[r]))
	}
	return headers
}

// headerAt is how findings call a column of the table.
func (s *Supplied) headerAt(at int) string {
	if at >= firstAdded {
		return s.mapping.added()[at-firstAdded]
	}
	if at < len(s.headers) && table.Trim(s.headers[at]) != "" {
		return table.Cut(table.Trim(s.headers[at]), table.ShownInMessage)
	}
	return "column " + table.ColumnLetters(at)
}

// ownAt is what the last row of the header calls a column.
func (s *Supplied) ownAt(at int) string {
	switch {
	case at >= firstAdded:
		return s.mapping.added()[at-firstAdded]
	case at < len(s.own):
		return table.Trim(s.own[at])
	}
	return ""
}
