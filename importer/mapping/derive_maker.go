package mapping

import (
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// maker makes rows of a file from the rows of a supplier's table, by one entry of the
// mapping.
type maker struct {
	supplied *Supplied
	entry    entry
	above    map[*cell][]string // what cells said above, of those that hold down
}

func newMaker(s *Supplied, e entry) *maker {
	return &maker{s, e, map[*cell][]string{}}
}

// mostOfCell is how many bytes may be made from one cell, or put into one.
const mostOfCell = 64 << 10

// wrongCell is what is wrong with a cell of the table.
type wrongCell struct {
	*table.Fault
	at   int // column of the table
	text string
}

// rows returns the rows that a row becomes: one, none, or one for each of several
// values in a cell.
func (m *maker) rows(r record) []made {
	for _, ref := range m.entry.onlyWith {
		if r.Cell(m.supplied.places[ref]) == "" {
			m.pass(r)
			return nil
		}
	}
	for _, c := range m.entry.onlyWhere {
		if !slices.Contains(c.says, fold(r.Cell(m.supplied.places[c.ref]))) {
			m.pass(r)
			return nil
		}
	}
	values := make([][]string, len(m.entry.cells))
	row := made{line: r.Line, cells: make([]string, len(m.entry.cells))}
	for c, cell := range m.entry.cells {
		if cell == nil {
			row.absent |= 1 << c
			continue
		}
		var wrong *wrongCell
		if values[c], wrong = m.values(cell, r); wrong != nil {
			values[c], row.faulty = nil, row.faulty|1<<c
			line, at := r.place(wrong.at)
			m.supplied.report(wrong.Fault, line, m.supplied.headerAt(at), wrong.text)
		}
	}
	return m.each(row, values)
}

// pass remembers, from a row that becomes none, the cells that also hold for the rows
// below it.
func (m *maker) pass(r record) {
	for _, cell := range m.entry.cells {
		if cell != nil && cell.down {
			_, _ = m.texts(cell, r) // the error is deliberately ignored: a row that the cell is part of reports it
		}
	}
}

// each returns a row for each value of the cells that are split. Several cells that
// are split are taken in step and must have equally many values.
func (m *maker) each(row made, values [][]string) []made {
	count, by := 1, -1
	for c, cell := range m.entry.cells {
		if cell == nil || cell.split == nil || len(values[c]) == 0 {
			continue
		}
		if by >= 0 && len(values[c]) != count {
			m.outOfStep(row.line, m.entry.cells[by], cell, count, len(values[c]))
			row.faulty |= 1<<c | 1<<by
			values[c] = nil
			continue
		}
		count, by = len(values[c]), c
	}
	var all []made
	for i := range count {
		one := row.clone()
		for c, list := range values {
			switch {
			case len(list) == 0:
			case m.entry.cells[c].split != nil:
				one.cells[c] = list[i]
			default:
				one.cells[c] = list[0]
			}
		}
		if !m.lacks(one) {
			all = append(all, one)
		}
	}
	return all
}

// lacks reports whether a row is empty where such a row is none.
func (m *maker) lacks(one made) bool {
	return slices.ContainsFunc(m.entry.mayLack, func(c int) bool { return one.cells[c] == "" && one.faulty&(1<<c) == 0 })
}

func (m *maker) outOfStep(line int, first, second *cell, a, b int) {
	at := m.supplied.places[second.from[0]]
	m.supplied.report(table.BadValue("%s and %s name %d and %d; each of the one needs its own of the other",
		m.supplied.headerAt(m.supplied.places[first.from[0]]), m.supplied.headerAt(at), a, b), line, m.supplied.headerAt(at), "")
}

// values returns what the table says for a column: no value, one, or several where
// the cell is split.
func (m *maker) values(c *cell, r record) ([]string, *wrongCell) {
	if c.constant != "" {
		return []string{c.constant}, nil
	}
	if c.template != nil {
		return m.fill(c, r)
	}
	texts, wrong := m.texts(c, r)
	if wrong != nil {
		return nil, wrong
	}
	switch {
	case c.ticks != nil:
		return m.pattern(c, texts)
	case c.crosses != nil:
		return m.words(c, texts)
	case len(texts) > 1:
		return m.joined(c, r, texts)
	}
	at := m.supplied.places[c.from[0]]
	text := texts[0]
	if text == "" {
		if c.empty == "" {
			return nil, nil
		}
		return []string{c.empty}, nil
	}
	items := []string{text}
	if c.split != nil {
		if items, wrong = c.several(text, at); wrong != nil {
			return nil, wrong
		}
	}
	for i, item := range items {
		value, f := c.read(item, r.Kind(at))
		if f != nil {
			return nil, &wrongCell{f, at, text}
		}
		items[i] = value
	}
	return items, nil
}

// texts returns the cells of the columns that c is made from.
func (m *maker) texts(c *cell, r record) ([]string, *wrongCell) {
	texts := make([]string, len(c.from))
	for i, ref := range c.from {
		at := m.supplied.places[ref]
		texts[i] = r.Cell(at)
		if f := r.fault(at, texts[i]); f != nil {
			return nil, &wrongCell{f, at, texts[i]}
		}
	}
	if c.down {
		above := m.above[c]
		for i, text := range texts {
			if text == "" && above != nil {
				texts[i] = above[i]
			}
		}
		m.above[c] = slices.Clone(texts)
	}
	return texts, nil
}

func (m *maker) pattern(c *cell, texts []string) ([]string, *wrongCell) {
	if len(texts) == 1 {
		texts = c.inOneCell(texts[0])
	}
	pattern, at, f := c.ticks.pattern(texts)
	if f != nil {
		text := texts[at]
		return nil, &wrongCell{f, m.supplied.places[c.from[min(at, len(c.from)-1)]], text}
	}
	if pattern == "" {
		return nil, nil
	}
	return []string{pattern}, nil
}

// joined puts several columns together. A code needs a symbol in each of them.
func (m *maker) joined(c *cell, r record, texts []string) ([]string, *wrongCell) {
	if table.Blank(texts) {
		if c.empty == "" {
			return nil, nil
		}
		return []string{c.empty}, nil
	}
	var said []string
	bytes := 0
	for i, text := range texts {
		at := m.supplied.places[c.from[i]]
		if c.column.Kind == standin.CodeCell {
			if text == "" {
				return nil, &wrongCell{table.MissingValue("the cell is empty; the code needs a symbol at place %d", i+1), at, ""}
			}
			if len(strings.Fields(text)) > 1 {
				return nil, &wrongCell{table.BadValue("%s has white space in it; a place of the code holds one symbol", table.Quoted(text)), at, text}
			}
		}
		if text == "" {
			continue
		}
		value, f := c.read(text, r.Kind(at))
		if f != nil {
			return nil, &wrongCell{f, at, text}
		}
		if bytes += len(value); bytes > mostOfCell {
			return nil, &wrongCell{table.BadValue("the columns become too long together"), at, text}
		}
		said = append(said, value)
	}
	return []string{strings.Join(said, c.join)}, nil
}

// fill fills in a template. Where all of its cells are empty it returns no value.
func (m *maker) fill(c *cell, r record) ([]string, *wrongCell) {
	var text strings.Builder
	var missing *wrongCell
	any := false
	for _, p := range c.template {
		if p.from == nil {
			text.WriteString(p.text)
			continue
		}
		at := m.supplied.places[*p.from]
		said := r.Cell(at)
		f := r.fault(at, said)
		switch {
		case f != nil:
			return nil, &wrongCell{f, at, said}
		case said == "" && missing == nil:
			missing = &wrongCell{table.MissingValue("the cell is empty, but others of the same template are not"), at, ""}
		}
		if any = any || said != ""; text.Len()+len(said) > mostOfCell {
			return nil, &wrongCell{table.BadValue("what the template makes becomes too long"), at, said}
		}
		text.WriteString(said)
	}
	switch {
	case !any:
		return nil, nil
	case missing != nil:
		return nil, missing
	}
	return []string{text.String()}, nil
}

// several returns the values of a cell, with shortened ones completed.
func (c *cell) several(text string, at int) ([]string, *wrongCell) {
	var all []string
	whole, bytes := "", 0
	for _, item := range parted(text, c.split) {
		if item == "" {
			continue
		}
		switch space := strings.LastIndexAny(whole, " \t\u00a0"); {
		case whole == "":
		case c.prefix == wordsPrefix && space >= 0 && !strings.ContainsAny(item, " \t\u00a0"):
			item = whole[:space+1] + strings.TrimLeft(item, " ")
		case c.prefix == lengthPrefix && len(item) < len(whole):
			item = whole[:len(whole)-len(item)] + item
		}
		whole = item
		if bytes += len(item); bytes > mostOfCell {
			return nil, &wrongCell{table.BadValue("the cell names %s, more than a cell can hold", table.Count(len(all), "value")), at, text}
		}
		all = append(all, item)
	}
	return all, nil
}

// read returns one value as a bundle writes it, "" where the text turns out to say none.
func (c *cell) read(text string, kind table.CellKind) (string, *table.Fault) {
	if c.match != nil {
		m := c.match.FindStringSubmatch(text)
		switch {
		case m != nil:
			text = table.Trim(m[1])
		case c.blank:
			return "", nil
		case !c.keep:
			return "", table.BadValue("%s does not match %s, as the mapping has it", table.Quoted(text), table.Quoted(c.match.String()))
		}
	}
	if c.side != bothSides && kind != table.DateCell && text != "" {
		var f *table.Fault
		if text, f = c.end(text); f != nil {
			return "", f
		}
	}
	switch {
	case text == "":
		return "", nil
	case c.list != nil:
		return c.listed(text)
	case c.translate != nil:
		return c.translated(text)
	case c.dates != nil && kind != table.DateCell:
		return localDate(c.dates, text)
	case c.comma, c.thousands != "", c.factor != nil, c.units != nil:
		return c.number(text, kind)
	}
	return text, nil
}

func (c *cell) translated(text string) (string, *table.Fault) {
	if value, ok := c.translate[fold(text)]; ok {
		return value, nil
	}
	switch {
	case c.keep:
		return text, nil
	case c.blank:
		return "", nil
	}
	var known []string
	for said := range c.translate {
		known = append(known, said)
	}
	slices.Sort(known)
	f := table.BadValue("%s has no translation in the mapping, which has %s", table.Quoted(text), table.List(known))
	return "", f.Correct(standin.NearestName(text, known))
}

// listed returns the parts of a cell with spaces between them.
func (c *cell) listed(text string) (string, *table.Fault) {
	var all []string
	bytes := 0
	for _, item := range parted(text, c.list) {
		if item == "" {
			continue
		}
		if c.translate != nil {
			var f *table.Fault
			if item, f = c.translated(item); f != nil {
				return "", f
			}
		}
		if len(strings.Fields(item)) > 1 {
			return "", table.BadValue("%s has a space in it, but is to be one word; translate it in the mapping", table.Quoted(item))
		}
		if bytes += len(item); bytes > mostOfCell {
			return "", table.BadValue("the words of the cell become too long")
		}
		all = append(all, item)
	}
	return strings.Join(all, " "), nil
}
