package mapping

import (
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/table"
)

// Read reads a mapping file. What is wrong with it is added to out; the mapping can be
// used only where nothing is.
func Read(name string, text []byte, out *table.Findings) *Mapping {
	r := &yamlReader{name: name, out: out, said: map[standin.Finding]bool{}}
	m := &Mapping{name: name}
	root := r.root(text)
	if root == nil {
		return m
	}
	r.each(root, "a mapping", map[string]func(*yaml.Node){
		"table": func(n *yaml.Node) { r.table(n, m) },
		"rows": func(n *yaml.Node) {
			if r.blank(n) {
				r.fault(n, "rows is empty; write %s", rowsForm)
				return
			}
			for _, item := range r.items(n) {
				if e, ok := r.entry(item); ok {
					m.entries = append(m.entries, e)
				}
			}
		},
	})
	if len(m.entries) == 0 && out.Errors() == 0 {
		r.fault(root, "the mapping has no rows; write rows:, and under it %s", rowsForm)
	}
	return m
}

// rowsForm is what rows are to say, in a message.
const rowsForm = "an item for each file that the table becomes, such as - {file: models, columns: {brand: Make, model: Model No.}}; " +
	"standin map TABLE proposes them"

func (r *yamlReader) table(n *yaml.Node, m *Mapping) {
	if r.blank(n) {
		return // it is read as it is
	}
	r.each(n, "the table", map[string]func(*yaml.Node){
		"sheet": func(n *yaml.Node) { m.sheet = r.text(n) },
		"header": func(n *yaml.Node) {
			if m.headless = r.follow(n).Value == noHeader; m.headless {
				return
			}
			for _, s := range r.spans(n) {
				for row := s.From; row <= s.To && len(m.header) < table.MostSpans; row++ {
					m.header = append(m.header, row)
				}
			}
			slices.Sort(m.header)
		},
		"skip": func(n *yaml.Node) { m.skip = r.spans(n) },
		"skip_starting": func(n *yaml.Node) {
			for _, text := range r.separators(n) {
				m.starting = append(m.starting, fold(text))
			}
		},
		"repeated_header": func(n *yaml.Node) { m.repeated = r.oneOf(n, "skip", "keep") == "skip" },
		"sections":        func(n *yaml.Node) { m.sections = r.sections(n) },
		"footnotes":       func(n *yaml.Node) { m.notes = r.footnotes(n) },
		"pivot":           func(n *yaml.Node) { m.pivot = r.pivot(n) },
		"delimiter": func(n *yaml.Node) {
			word := r.oneOf(n, "comma", "semicolon", "tab")
			for d, name := range table.DelimiterNames {
				if name == word {
					m.delimiter = d
				}
			}
		},
	})
}

func (r *yamlReader) entry(n *yaml.Node) (e entry, ok bool) {
	n = r.follow(n)
	e.line = n.Line
	if r.blank(n) {
		r.fault(n, "an item of rows is empty; write %s", rowsForm)
		return e, false
	}
	columns, lacking := n, (*yaml.Node)(nil)
	r.each(n, "an item of rows", map[string]func(*yaml.Node){
		"file": func(n *yaml.Node) {
			if e.file, ok = standin.FileNamed(r.text(n)); !ok && r.blank(n) {
				r.fault(r.follow(n), "file is empty; write one of %s", table.List(fileStems()))
			} else if !ok {
				r.unknown(r.follow(n), "a bundle", fileStems())
			}
		},
		"only_with": func(n *yaml.Node) {
			for _, header := range r.texts(n) {
				e.onlyWith = append(e.onlyWith, ref{header, -1})
			}
		},
		"only_where": func(n *yaml.Node) { e.onlyWhere = r.choices(n) },
		"may_lack":   func(n *yaml.Node) { lacking = n },
		"columns":    func(n *yaml.Node) { columns = n },
	})
	if !ok {
		if e.file.Name == "" && n.Kind == yaml.MappingNode && !hasKey(n, "file") {
			r.fault(n, "the item of rows does not say its file")
		}
		return e, false
	}
	if columns == n || r.blank(columns) {
		r.fault(n, "the rows of %s have no columns; write columns:, and under it a line for each, such as %s: the header of the table's column",
			e.file.Name, e.file.Columns[0].Name)
		return e, false
	}
	r.columns(columns, &e)
	if lacking != nil {
		e.mayLack = r.columnsNamed(lacking, e.file)
	}
	return e, true
}

// noHeader is the word for a table without a header.
const noHeader = "none"

func hasKey(n *yaml.Node, key string) bool {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return true
		}
	}
	return false
}

func (r *yamlReader) columns(n *yaml.Node, e *entry) {
	e.cells = make([]*cell, len(e.file.Columns))
	known := map[string]func(*yaml.Node){}
	for i, column := range e.file.Columns {
		known[column.Name] = func(n *yaml.Node) { e.cells[i] = r.cell(n, column) }
	}
	r.each(n, "the file "+e.file.Name, known)
	for i, column := range e.file.Columns {
		if column.Required && e.cells[i] == nil {
			r.fault(r.follow(n), "every row of %s needs its %s; say where it comes from", e.file.Name, column.Name)
		}
	}
}

// cell reads where a column comes from: a header alone, or keys that say more.
func (r *yamlReader) cell(n *yaml.Node, column standin.Column) *cell {
	n = r.follow(n)
	c := &cell{line: n.Line, column: column, join: " "}
	if n.Kind == yaml.ScalarNode {
		c.from = []ref{{n.Value, -1}}
		if n.Value == "" {
			r.fault(n, "%s comes from nowhere; name a column of the table", column.Name)
		}
		r.fits(n, c)
		return c
	}
	sources, errors := 0, r.out.Errors()
	defer func() { r.bounded(n, c) }()
	source := func(read func(*yaml.Node)) func(*yaml.Node) {
		return func(n *yaml.Node) { sources++; read(n) }
	}
	r.each(n, column.Name, map[string]func(*yaml.Node){
		"constant":  source(func(n *yaml.Node) { c.constant = r.constant(n, column) }),
		"template":  source(func(n *yaml.Node) { c.template = r.template(n) }),
		"column":    source(func(n *yaml.Node) { c.from = []ref{{r.text(n), -1}} }),
		"columns":   source(func(n *yaml.Node) { c.from = named(r.texts(n)) }),
		"letter":    source(func(n *yaml.Node) { c.from = r.letters(n) }),
		"letters":   source(func(n *yaml.Node) { c.from = r.letters(n) }),
		"down":      func(n *yaml.Node) { c.down = r.truth(n) },
		"empty":     func(n *yaml.Node) { c.empty = r.text(n) },
		"split":     func(n *yaml.Node) { c.split = r.separators(n) },
		"prefix":    func(n *yaml.Node) { c.prefix = prefix(r.oneOf(n, string(wordsPrefix), string(lengthPrefix))) },
		"match":     func(n *yaml.Node) { c.match = r.match(n) },
		"range":     func(n *yaml.Node) { c.side = side(r.oneOf(n, string(fromSide), string(toSide))) },
		"list":      func(n *yaml.Node) { c.list = r.separators(n) },
		"join":      func(n *yaml.Node) { c.join = r.text(n) },
		"translate": func(n *yaml.Node) { c.translate = r.pairs(n) },
		"otherwise": func(n *yaml.Node) {
			otherwise := r.oneOf(n, "keep", "empty", "error")
			c.keep, c.blank = otherwise == "keep", otherwise == "empty"
		},
		"date":      func(n *yaml.Node) { c.dates = r.dates(n) },
		"decimal":   func(n *yaml.Node) { c.comma = r.oneOf(n, "comma", "point") == "comma" },
		"thousands": func(n *yaml.Node) { c.thousands = separators[r.oneOf(n, slices.Sorted(maps.Keys(separators))...)] },
		"unit":      func(n *yaml.Node) { c.units = r.units(n) },
		"factor":    func(n *yaml.Node) { c.factor = r.factor(n) },
		"ticks":     func(n *yaml.Node) { c.ticks = r.ticks(n) },
		"crosses":   func(n *yaml.Node) { c.crosses = r.crosses(n) },
	})
	if r.out.Errors() == errors && sources != 1 {
		r.fault(n, "%s comes from one of constant, template, column, columns, letter and letters", column.Name)
	}
	r.fits(n, c)
	return c
}

// bounded reports sizes that no genuine mapping has.
func (r *yamlReader) bounded(n *yaml.Node, c *cell) {
	if len(c.from) > mostSpread || len(c.template) > mostSpread || len(c.constant)+len(c.empty)+len(c.join) > mostSpread {
		r.fault(n, "%s is made of too much (at most %d columns or characters)", c.column.Name, mostSpread)
	}
}

// fits reports keys that mean nothing together, or for this column.
func (r *yamlReader) fits(n *yaml.Node, c *cell) {
	kind, name := c.column.Kind, c.column.Name
	isDate := kind == standin.FromDate || kind == standin.ToDate
	isNumber := kind == standin.Integer || kind == standin.Number || kind == standin.Numbers || kind == standin.VoltsCell
	isList := kind == standin.Words || kind == standin.Numbers || kind == standin.CodeCell || kind == standin.PatternCell
	made := c.constant != "" || c.template != nil
	for _, rule := range []struct {
		broken  bool
		message string
	}{
		{c.prefix != wholePrefix && c.split == nil, "prefix is for cells that are split"},
		{c.split != nil && (made || len(c.from) > 1), "split is for one column"},
		{(c.keep || c.blank) && c.translate == nil && c.match == nil, "otherwise is for what is translated or matched"},
		{(c.match != nil || c.side != bothSides) && made, "match and range are for columns of the table"},
		{c.dates != nil && !isDate, "it is no date"},
		{(c.comma || c.units != nil || c.thousands != "" || c.factor != nil) && !isNumber, "it is no number"},
		{c.thousands != "" && c.thousands == map[bool]string{true: ",", false: "."}[c.comma], "thousands and decimals are parted by the same sign"},
		{c.list != nil && !isList, "it is no list of words"},
		{c.list != nil && c.split != nil, "it is either split or a list"},
		{c.ticks != nil && kind != standin.PatternCell, "ticks are for a pattern"},
		{c.ticks != nil && made, "ticks are for columns of the table"},
		{c.ticks != nil && (c.split != nil || c.translate != nil || c.empty != ""), "ticks say themselves what cells mean"},
		{c.ticks == nil && kind == standin.PatternCell && len(c.from) > 1, "a pattern over several columns needs its ticks: lit, unlit …"},
		{c.crosses != nil && kind != standin.Words && kind != standin.CodeCell, "crosses are for words and codes"},
		{c.crosses != nil && (made || c.split != nil || c.list != nil || c.empty != ""), "crosses are for columns that each stand for a word"},
		{c.down && made, "down is for columns of the table"},
	} {
		if rule.broken {
			r.fault(n, "%s: %s", name, rule.message)
		}
	}
}

// toFill marks in a proposal what a person must fill in.
const toFill = "?"

func (r *yamlReader) constant(n *yaml.Node, column standin.Column) string {
	text := table.Trim(r.text(n))
	switch text {
	case "":
		r.fault(n, "the constant is empty; leave the column out")
	case toFill:
		r.fault(n, "%s is still to be written in place of the question mark", column.Name)
	}
	return text
}

// template reads text with headers in braces.
func (r *yamlReader) template(n *yaml.Node) []piece {
	text := r.text(n)
	var pieces []piece
	for rest := text; rest != ""; {
		before, after, found := strings.Cut(rest, "{")
		if before != "" {
			pieces = append(pieces, piece{text: before})
		}
		if !found {
			break
		}
		header, after, closed := strings.Cut(after, "}")
		if !closed || table.Trim(header) == "" {
			r.fault(n, "the template %s is to have headers in braces, as {Model}", table.Quoted(text))
			return nil
		}
		pieces = append(pieces, piece{from: &ref{header, -1}})
		rest = after
	}
	if !slices.ContainsFunc(pieces, func(p piece) bool { return p.from != nil }) {
		r.fault(n, "the template %s names no header in braces; write a constant", table.Quoted(text))
	}
	return pieces
}

func named(headers []string) []ref {
	var all []ref
	for _, h := range headers {
		all = append(all, ref{h, -1})
	}
	return all
}

// letters returns columns by their letters, or spans of them: C, D:I.
func (r *yamlReader) letters(n *yaml.Node) []ref {
	var all []ref
	for _, item := range r.items(n) {
		low, high, found := strings.Cut(r.text(item), ":")
		if !found {
			high = low
		}
		from, to := table.ColumnNamed(table.Trim(low)), table.ColumnNamed(table.Trim(high))
		if from < 0 || to < from || to-from > mostSpread {
			r.fault(item, "%s is no column; write its letters, or a span such as D:I", table.Quoted(item.Value))
			continue
		}
		for at := from; at <= to; at++ {
			all = append(all, ref{letter: at})
		}
	}
	return all
}

// mostSpread is the most columns over which a code or pattern may be spread.
const mostSpread = 1000

func (r *yamlReader) separators(n *yaml.Node) []string {
	all := r.texts(n)
	if slices.Contains(all, "") {
		r.fault(n, "a separator is empty; write the characters between two values")
		return nil
	}
	return all
}

// pairs returns translations, by the folded text that is translated.
func (r *yamlReader) pairs(n *yaml.Node) map[string]string {
	n = r.follow(n)
	if n.Kind != yaml.MappingNode {
		r.fault(n, "translations are written as keys with values: what the table says, and what is meant")
		return nil
	}
	all := map[string]string{}
	for i := 0; i+1 < len(n.Content) && r.nodes < mostNodes; i += 2 {
		key := fold(n.Content[i].Value)
		if _, twice := all[key]; twice {
			r.fault(n.Content[i], "%s is translated twice; leave one out", table.Quoted(n.Content[i].Value))
		}
		all[key] = table.Trim(r.text(n.Content[i+1]))
	}
	return all
}

// fold returns text for comparing without regard to case and surrounding white space.
func fold(text string) string { return strings.ToLower(table.Trim(text)) }

func fileStems() []string {
	var stems []string
	for _, f := range standin.Files {
		stems = append(stems, f.Name)
	}
	return stems
}
