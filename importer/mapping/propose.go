package mapping

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// mostSampled is how many rows a proposal is made from.
const mostSampled = 2000

// sampled is the beginning of a supplier's table.
type sampled struct {
	name    string
	sheet   string // the one requested
	header  []int
	columns []*column
	rows    int
	all     bool // there are no more rows
}

// column is one column of a table that a mapping is proposed for.
type column struct {
	at     int
	name   string // its header, as a mapping would name it; empty where it must be named by its letters
	header string
	values []string // those that are not empty
	kinds  []table.CellKind
	empty  int
	role   role
	sure   string // sure, likely or unsure
	why    string
}

// Propose proposes a mapping for the table that one of the sources holds:
// of that sheet, or of the first where it is empty; for configurations of that
// family, or of one to be filled in. What has been found about the sources goes
// before; a table that cannot be read is a *table.Fault.
func Propose(ctx context.Context, name string, all []Source, family, sheet string, out *table.Findings) (string, error) {
	s, err := sample(ctx, name, all, sheet, out)
	if err != nil {
		return "", err
	}
	for _, c := range s.columns {
		c.recognise()
	}
	s.spread()
	s.onlyOnce()
	return s.write(family), nil
}

// sample reads the beginning of a table.
func sample(ctx context.Context, name string, all []Source, sheet string, out *table.Findings) (*sampled, error) {
	t := New(name, &Mapping{sheet: sheet}, out)
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
	s := &sampled{name: name, sheet: sheet}
	var rows []table.Record
	for len(rows) < mostSampled {
		row, err := in.Next()
		var f *table.Fault
		switch {
		case errors.Is(err, io.EOF):
			s.all = true
		case ctx.Err() == nil && errors.As(err, &f) && !f.Ends:
			continue
		case err != nil:
			return nil, err
		}
		if s.all {
			break
		}
		rows = append(rows, table.Record{Line: row.Line, Cells: slices.Clone(row.Cells), Kinds: slices.Clone(row.Kinds)})
	}
	if len(rows) < 2 {
		return nil, table.Unreadable("it has no rows below its header")
	}
	s.take(rows)
	return s, nil
}

// take finds the header among the rows, and collects the values below it.
func (s *sampled) take(rows []table.Record) {
	at := headerAmong(rows)
	own := trimmed(rows[at].Cells)
	full := own
	s.header = []int{rows[at].Line}
	if at > 0 && rows[at-1].Line == rows[at].Line-1 && repeats(own) {
		s.header = []int{rows[at-1].Line, rows[at].Line}
		full = joinHeaders([][]string{trimmed(rows[at-1].Cells), own})
	}
	for i := range full {
		c := &column{at: i}
		if i < len(own) {
			c.header = own[i]
		}
		for _, name := range []string{c.header, full[i]} {
			if c.name == "" && name != "" && len(headedSo(full, name))+len(headedSo(own, name)) > 0 && only(full, own, name) {
				c.name = name
			}
		}
		if c.header == "" || len(own) > 1 && full[i] != c.header && !only(full, own, c.header) {
			c.header = full[i]
		}
		for _, row := range rows[at+1:] {
			if text := row.Cell(i); text != "" {
				c.values, c.kinds = append(c.values, text), append(c.kinds, row.Kind(i))
			} else {
				c.empty++
			}
		}
		if c.header != "" || len(c.values) > 0 {
			s.columns = append(s.columns, c)
		}
	}
	s.rows = len(rows) - at - 1
}

// only reports whether a name leads to one column alone.
func only(full, own []string, name string) bool {
	if at := headedSo(full, name); len(at) > 0 {
		return len(at) == 1
	}
	return len(headedSo(own, name)) == 1
}

func trimmed(cells []string) []string {
	var all []string
	for _, cell := range cells {
		all = append(all, table.Trim(cell))
	}
	return all
}

// headerAmong returns the row, among the first ones, with most words that headers
// have, of equals the one with most cells.
func headerAmong(rows []table.Record) int {
	const looked = 20
	best, most := 0, -1
	for i, row := range rows[:min(len(rows)-1, looked)] {
		score := 0
		for _, cell := range row.Cells {
			if cell = table.Trim(cell); cell == "" {
				continue
			}
			score++
			if r, exact := roleOf(cell); exact {
				score += 10
			} else if r != noRole {
				score += 2
			}
		}
		if score > most {
			best, most = i, score
		}
	}
	return best
}

// repeats reports whether a header needs the row above it: it repeats a text, or has
// bare numbers.
func repeats(own []string) bool {
	seen := map[string]bool{}
	for _, cell := range own {
		if cell != "" && (seen[headed(cell)] || table.AllDigits(cell)) {
			return true
		}
		seen[headed(cell)] = true
	}
	return false
}

// recognise says what a column is by its header, and by its values how sure.
func (c *column) recognise() {
	r, exact := roleOf(c.header)
	c.role = r
	switch {
	case r == noRole && c.share(standin.IsGTIN) == 1 && len(c.values) > 2:
		c.become(gtinRole, "likely", "every value has the check digit of a GTIN")
	case r == noRole:
	case !c.agrees():
		c.become(r, "unsure", "the header says so, its values do not look it")
	case exact:
		c.become(r, "sure", "the header and the values say so")
	default:
		c.become(r, "likely", "a word of the header says so, and the values agree")
	}
}

func (c *column) become(r role, sure, why string) { c.role, c.sure, c.why = r, sure, why }

// agrees reports whether the values can be what the header says.
func (c *column) agrees() bool {
	if len(c.values) == 0 {
		return false
	}
	switch c.role {
	case fromRole, toRole:
		_, ok := c.forms()
		return ok
	case voltsRole, hertzRole, wattsRole:
		return c.share(hasDigits) == 1
	case gtinRole:
		return c.share(standin.IsGTIN) == 1
	}
	return true
}

// share returns the share of the values for which a condition holds.
func (c *column) share(holds func(string) bool) float64 {
	n := 0
	for _, v := range c.values {
		if holds(v) {
			n++
		}
	}
	return float64(n) / float64(max(1, len(c.values)))
}

func hasDigits(text string) bool { return strings.ContainsAny(text, "0123456789") }

func isTick(text string) bool { return stateOf(text) != "" }

func isSymbol(text string) bool { return len([]rune(text)) <= 2 && !strings.ContainsAny(text, " \t\n") }

// forms returns the fewest forms that read all the dates.
func (c *column) forms() (forms []string, ok bool) {
	var left []string
	for i, v := range c.values {
		if _, err := standin.ParseDate(v); err != nil && c.kinds[i] != table.DateCell {
			left = append(left, v)
		}
	}
	for len(left) > 0 {
		best, most := "", 0
		for _, form := range usualForms {
			f, _ := parseDateForm(form)
			n := 0
			for _, v := range left {
				if f.read(v) != "" {
					n++
				}
			}
			if n > most {
				best, most = form, n
			}
		}
		if best == "" {
			return nil, false
		}
		forms = append(forms, best)
		f, _ := parseDateForm(best)
		left = slices.DeleteFunc(left, func(v string) bool { return f.read(v) != "" })
	}
	return forms, true
}

// spread finds codes and patterns that are spread over columns: runs of at
// least two of which all values are ticks, or else all are symbols.
func (s *sampled) spread() {
	for i := 0; i < len(s.columns); {
		r := s.columns[i].spreadRole()
		j := i
		for j < len(s.columns) && r != noRole && s.columns[j].spreadRole() == r && s.columns[j].at == s.columns[i].at+j-i {
			j++
		}
		if j-i < 2 {
			i++
			continue
		}
		for _, c := range s.columns[i:j] {
			if r == patternRole {
				c.become(r, "likely", fmt.Sprintf("%d columns side by side hold nothing but ticks", j-i))
			} else {
				c.become(r, "likely", fmt.Sprintf("%d columns side by side hold nothing but short symbols", j-i))
			}
		}
		i = j
	}
}

// spreadRole returns the role of which a column may be one of several.
func (c *column) spreadRole() role {
	switch {
	case len(c.values) == 0 || c.role != noRole && c.role != codeRole && c.role != patternRole:
		return noRole
	case c.share(isTick) == 1 && (c.role == patternRole || len(distinct(c.values)) < 5 && c.share(table.AllDigits) < 1 || c.empty > 0):
		return patternRole
	case c.share(isSymbol) == 1 && c.empty == 0:
		return codeRole
	}
	return noRole
}

// onlyOnce leaves a role that several columns claim to the one that is most
// sure, of equals the first.
func (s *sampled) onlyOnce() {
	rank := []string{"sure", "likely", "unsure"}
	held := map[role]*column{}
	for _, c := range s.columns {
		if c.role == noRole || len(s.inRole(c.role)) < 2 || c.role == codeRole || c.role == patternRole {
			continue
		}
		if before := held[c.role]; before == nil {
			held[c.role] = c
		} else if slices.Index(rank, c.sure) < slices.Index(rank, before.sure) {
			held[c.role] = c
		}
	}
	for _, c := range s.columns {
		if kept := held[c.role]; kept != nil && kept != c {
			c.why = "it may be " + string(c.role) + " too"
			c.role = noRole
		}
	}
}

// inRole returns the columns proposed for a role.
func (s *sampled) inRole(r role) []*column {
	var all []*column
	for _, c := range s.columns {
		if c.role == r {
			all = append(all, c)
		}
	}
	return all
}

// distinct returns values, each once, in order.
func distinct(values []string) []string {
	all := slices.Clone(values)
	slices.Sort(all)
	return slices.Compact(all)
}
