package mapping

import (
	"context"
	"errors"
	"io"
	"slices"

	"standin"
	"standin/importer/table"
)

// mostSampled is how many rows a proposal is made from.
const mostSampled = 2000

// Vocabulary says what a catalogue holds, so that a column can be known by its values.
type Vocabulary interface {
	// Known returns how many of the values the catalogue has in a column of a file of a
	// bundle, such as brand of models. Each of the values counts once.
	Known(ctx context.Context, file, column string, values []string) (int, error)

	// Families returns the families that use all of the symbols and have codes of that
	// length, at most a few.
	Families(ctx context.Context, symbols []string, length int) ([]standin.Family, error)
}

// Asked is what is known of a table before a mapping is proposed.
type Asked struct {
	Family     string     // of its configurations; empty: to be found out, or filled in
	Sheet      string     // of a workbook; empty: the first that is not hidden
	Vocabulary Vocabulary // of a catalogue; nil: without one
}

// sampled is the beginning of a supplier's table.
type sampled struct {
	name    string
	asked   Asked
	found   found
	lines   []int // of the rows of the header
	columns []*column
	body    []table.Record // the rows that are data, one for each group of a pivot
	rows    int
	all     bool // there are no more rows
	family  *standin.Family
	comma   bool // the table writes decimals with a comma
	point   bool // … with a point
}

// Propose proposes a mapping for the table that one of the sources holds. What has been
// found about the sources goes before; a table that cannot be read is a *table.Fault, and
// any other error is the context's or the vocabulary's.
func Propose(ctx context.Context, name string, all []Source, asked Asked, out *table.Findings) (string, error) {
	s, err := sample(ctx, name, all, asked, out)
	if err != nil {
		return "", err
	}
	if err := s.ask(ctx); err != nil {
		return "", err
	}
	s.recognise()
	if err := s.findFamily(ctx); err != nil {
		return "", err
	}
	return s.write(), nil
}

// sample reads the beginning of a table.
func sample(ctx context.Context, name string, all []Source, asked Asked, out *table.Findings) (*sampled, error) {
	t := New(name, &Mapping{sheet: asked.Sheet}, out)
	if out.Errors() == 0 {
		t.Choose(all)
	}
	if out.Errors() > 0 {
		return nil, table.Unreadable("%s", out.FirstError().Message)
	}
	if t.Source.Name == "" {
		return nil, table.Unreadable("it holds no table")
	}
	in, err := t.rows(ctx)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	s := &sampled{name: name, asked: asked}
	rows, err := s.read(ctx, in)
	if err != nil {
		return nil, err
	}
	if len(rows) < 2 {
		return nil, table.Unreadable("it has no rows below its header")
	}
	s.take(rows)
	return s, nil
}

// read reads the first rows. Where they have footnotes and the table has more, it goes on
// to the end for rows with one cell, which may explain them.
func (s *sampled) read(ctx context.Context, in table.Rows) ([]table.Record, error) {
	const mostBelow = 50
	var rows []table.Record
	for below := 0; below < mostBelow; {
		row, err := in.Next()
		var f *table.Fault
		switch {
		case errors.Is(err, io.EOF):
			s.all = len(rows) < mostSampled
			return rows, nil
		case ctx.Err() == nil && errors.As(err, &f) && !f.Ends:
			continue
		case err != nil:
			return nil, err
		}
		if len(rows) == mostSampled && !slices.ContainsFunc(rows, hasMarks) {
			return rows, nil
		}
		if len(rows) >= mostSampled {
			first, filled := firstCell(row)
			if filled != 1 || !legendLike.MatchString(row.Cell(first)) {
				continue
			}
			below++
		}
		rows = append(rows, table.Record{Line: row.Line, Cells: slices.Clone(row.Cells), Kinds: slices.Clone(row.Kinds)})
	}
	return rows, nil
}

// hasMarks reports a cell that ends as footnotes do.
func hasMarks(row table.Record) bool {
	for at := range row.Cells {
		text := row.Cell(at)
		if mark := table.Trim(usualMark.FindString(text)); mark != "" && mark != text {
			return true
		}
	}
	return false
}

// take finds the shape of the table and collects the values of its columns.
func (s *sampled) take(rows []table.Record) {
	s.body = s.found.look(rows)
	s.rows = len(rows) - len(s.found.header)
	if n := len(s.found.header); n > 0 {
		s.rows = len(rows) - s.found.header[n-1] - 1
	}
	for _, h := range s.found.header {
		s.lines = append(s.lines, rows[h].Line)
	}
	width := len(s.found.own)
	for _, row := range s.body {
		width = max(width, len(row.Cells))
	}
	full := joinHeaders([][]string{s.found.above, s.found.own})
	for at := range width {
		c := &column{at: at}
		above := ""
		if at < len(s.found.above) {
			above = s.found.above[at]
		}
		if at < len(s.found.own) {
			c.header = s.found.own[at]
		}
		c.says = says(c.header, above)
		c.name = nameOf(at, full, s.found.own)
		if c.header == "" && above != "" {
			c.header = above
		}
		if before, _ := bestRole(s.at(at - 1).says); before == serialFromRole && isTo(c.header) {
			c.says.roles = map[role]float64{serialToRole: 0.9} // the other end of what stands to the left
		}
		for i, row := range s.body {
			if text := row.Cell(at); text != "" {
				c.values, c.kinds, c.rows = append(c.values, text), append(c.kinds, row.Kind(at)), append(c.rows, i)
			} else {
				c.empty++
			}
		}
		if c.header != "" || len(c.values) > 0 {
			s.columns = append(s.columns, c)
		}
	}
}

// isTo reports a header that says to, or its like, and nothing else.
func isTo(header string) bool {
	return slices.Contains(trade().qualifiers["to"], foldWords(header))
}

// nameOf returns how a mapping names a column: by its own header, else with what stands
// above it; "" where neither leads to it alone.
func nameOf(at int, full, own []string) string {
	for _, headers := range [][]string{own, full} {
		if at >= len(headers) || headers[at] == "" {
			continue
		}
		name := headers[at]
		if found := headedSo(full, name); len(found) > 0 {
			if len(found) == 1 && found[0] == at {
				return name
			}
			continue
		}
		if found := headedSo(own, name); len(found) == 1 {
			return name
		}
	}
	return ""
}

func trimmed(cells []string) []string {
	var all []string
	for _, cell := range cells {
		all = append(all, table.Trim(cell))
	}
	return all
}
