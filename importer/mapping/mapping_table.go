package mapping

import (
	"maps"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/table"
)

// sections reads where headings stand: one, or a list of them.
func (r *yamlReader) sections(n *yaml.Node) []section {
	var all []section
	for _, item := range r.items(n) {
		s := section{ref: ref{letter: -1}}
		r.each(item, "a section", map[string]func(*yaml.Node){
			"as":     func(n *yaml.Node) { s.name = r.filled(n) },
			"column": func(n *yaml.Node) { s.ref = ref{r.filled(n), -1} },
			"letter": func(n *yaml.Node) {
				if refs := r.letters(n); len(refs) == 1 {
					s.ref = refs[0]
				}
			},
			"match": func(n *yaml.Node) { s.match = r.match(n) },
		})
		if s.name == "" || s.ref == (ref{letter: -1}) {
			r.fault(r.follow(item), "a section says where its headings stand (column or letter), and with as how the column is called that they become")
			continue
		}
		all = append(all, s)
	}
	return all
}

func (r *yamlReader) footnotes(n *yaml.Node) *footnotes {
	f := &footnotes{texts: map[string]string{}}
	r.each(n, "footnotes", map[string]func(*yaml.Node){
		"marks": func(n *yaml.Node) { r.marks(n, f) },
		"as":    func(n *yaml.Node) { f.as = r.filled(n) },
	})
	f.marks = slices.SortedFunc(maps.Keys(f.texts), func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	if len(f.marks) == 0 {
		r.fault(r.follow(n), "the footnotes have no marks; write each with what it means")
	}
	return f
}

// marks reads the marks with what they mean.
func (r *yamlReader) marks(n *yaml.Node, f *footnotes) {
	n = r.follow(n)
	if n.Kind != yaml.MappingNode {
		r.fault(n, "marks are written as keys with values: the mark, and what it means")
		return
	}
	for i := 0; i+1 < len(n.Content) && r.nodes < mostNodes; i += 2 {
		mark := table.Trim(n.Content[i].Value)
		if strings.ContainsFunc(mark, isSign) {
			f.texts[mark] = table.Trim(r.text(n.Content[i+1]))
			continue
		}
		r.fault(n.Content[i], "%s cannot be told from what cells say; a mark has a sign, as * or 1)", table.Quoted(mark))
	}
}

// isSign reports whether a character is none that a model or a part number ends in.
func isSign(r rune) bool {
	return !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || strings.ContainsRune("-./+ ", r))
}

func (r *yamlReader) pivot(n *yaml.Node) *pivot {
	p := &pivot{}
	one := func(into *ref) func(*yaml.Node) { return func(n *yaml.Node) { *into = ref{r.filled(n), -1} } }
	r.each(n, "a pivot", map[string]func(*yaml.Node){
		"by":      func(n *yaml.Node) { p.by = named(r.texts(n)) },
		"name":    one(&p.name),
		"value":   one(&p.value),
		"columns": func(n *yaml.Node) { p.columns = r.separators(n) },
	})
	if len(p.by) == 0 || p.name.header == "" || p.value.header == "" || len(p.columns) == 0 || len(p.columns) > mostSpread {
		r.fault(r.follow(n), "a pivot says by which columns its rows belong together, the column with the name and that with the value, and all names as its columns")
		return nil
	}
	return p
}

// filled reads a text that must not be empty.
func (r *yamlReader) filled(n *yaml.Node) string {
	text := table.Trim(r.text(n))
	if text == "" {
		r.fault(n, "write a name here")
	}
	return text
}

// choices reads columns with what they must say.
func (r *yamlReader) choices(n *yaml.Node) []choice {
	n = r.follow(n)
	if n.Kind != yaml.MappingNode {
		r.fault(n, "only_where is written as keys with values: a header, and what the column must say")
		return nil
	}
	var all []choice
	for i := 0; i+1 < len(n.Content) && r.nodes < mostNodes; i += 2 {
		c := choice{ref: ref{n.Content[i].Value, -1}}
		for _, text := range r.texts(n.Content[i+1]) {
			c.says = append(c.says, fold(text))
		}
		all = append(all, c)
	}
	return all
}

// columnsNamed reads the names of columns of a file.
func (r *yamlReader) columnsNamed(n *yaml.Node, file standin.File) []int {
	var all []int
	for _, item := range r.items(n) {
		name := r.text(item)
		at := slices.IndexFunc(file.Columns, func(c standin.Column) bool { return c.Name == name })
		if at < 0 {
			r.unknown(r.follow(item), "the file "+file.Name, table.ColumnNames(file))
			continue
		}
		all = append(all, at)
	}
	return all
}

// match reads a regular expression with one group.
func (r *yamlReader) match(n *yaml.Node) *regexp.Regexp {
	text := r.text(n)
	const mostOfExpression = 500 // bytes
	compiled, err := regexp.Compile(text)
	if err != nil || compiled.NumSubexp() != 1 || len(text) > mostOfExpression {
		r.fault(n, "%s is to be a regular expression with one group, which is the value: ^(.+) Rev", table.Quoted(text))
		return nil
	}
	return compiled
}

// units reads units: names alone, or each with its factor.
func (r *yamlReader) units(n *yaml.Node) []unit {
	var all []unit
	if n = r.follow(n); n.Kind != yaml.MappingNode {
		for _, name := range r.texts(n) {
			all = append(all, unit{name: name})
		}
		return all
	}
	for i := 0; i+1 < len(n.Content) && r.nodes < mostNodes; i += 2 {
		all = append(all, unit{n.Content[i].Value, r.factor(n.Content[i+1])})
	}
	return all
}

// factor reads by what numbers are multiplied.
func (r *yamlReader) factor(n *yaml.Node) *big.Rat {
	text := r.text(n)
	x, ok := new(big.Rat).SetString(text)
	if !ok || !plainNumber.MatchString(text) || x.Sign() <= 0 {
		r.fault(n, "%s is no factor; write a number such as 1000 or 25.4", table.Quoted(text))
		return nil
	}
	return x
}
