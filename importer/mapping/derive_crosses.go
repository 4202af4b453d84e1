package mapping

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/table"
)

// crosses is what the cells of columns say of which each stands for a word: an option,
// or a symbol of a code.
type crosses struct {
	means map[string]bool // yes or no, by what the cell says, folded
	empty *bool           // what an empty cell means; nil: not said
	place bool            // a number is the place in the code at which the symbol stands
}

func (r *yamlReader) crosses(n *yaml.Node) *crosses {
	x := &crosses{means: map[string]bool{}}
	says := func(yes bool) func(*yaml.Node) {
		return func(n *yaml.Node) {
			for _, text := range r.texts(n) {
				if before, twice := x.means[fold(text)]; twice && before != yes {
					r.fault(n, "%s means two things; leave one out", table.Quoted(text))
				}
				x.means[fold(text)] = yes
			}
		}
	}
	r.each(n, "crosses", map[string]func(*yaml.Node){
		"yes": says(true),
		"no":  says(false),
		"empty": func(n *yaml.Node) {
			yes := r.oneOf(n, "yes", "no") == "yes"
			x.empty = &yes
		},
		"place": func(n *yaml.Node) { x.place = r.truth(n) },
	})
	return x
}

// words returns the words of the columns that have a cross: in the order of the columns,
// or of the places that their cells name. Where all cells are empty, and the mapping does
// not say what that means, there is no value.
func (m *maker) words(c *cell, texts []string) ([]string, *wrongCell) {
	x := c.crosses
	if x.empty == nil && table.Blank(texts) {
		return nil, nil
	}
	placed := map[int]string{}
	for i, text := range texts {
		at := m.supplied.places[c.from[i]]
		place, f := x.at(text, i+1)
		if f == nil && place > 0 && placed[place] != "" {
			f = table.BadValue("place %d of the code is given twice, to %s and here", place, table.Quoted(placed[place]))
		}
		if f != nil {
			return nil, &wrongCell{f, at, text}
		}
		if place > 0 {
			placed[place] = m.word(c, at)
		}
	}
	places := slices.Sorted(maps.Keys(placed))
	if x.place && len(places) > 0 && places[len(places)-1] != len(places) {
		return nil, &wrongCell{table.BadValue("a place of the code has no symbol before place %d", places[len(places)-1]), m.supplied.places[c.from[0]], ""}
	}
	var all []string
	for _, place := range places {
		all = append(all, placed[place])
	}
	if len(all) == 0 && c.column.None {
		all = []string{"none"}
	}
	return []string{strings.Join(all, " ")}, nil
}

// at returns the place among the words of a column by its cell, 0 where it has none;
// next is that of the column itself.
func (x *crosses) at(text string, next int) (int, *table.Fault) {
	if text == "" {
		switch {
		case x.empty == nil:
			return 0, table.MissingValue("the cell is empty, and the mapping does not say what an empty cell means here")
		case *x.empty:
			return next, nil
		}
		return 0, nil
	}
	if yes, ok := x.means[fold(text)]; ok {
		if yes {
			return next, nil
		}
		return 0, nil
	}
	if place, err := strconv.Atoi(text); x.place && err == nil && place > 0 && place <= mostSpread {
		return place, nil
	}
	return 0, table.BadValue("%s is not one of the crosses of the mapping (%s)", table.Quoted(text), table.List(slices.Sorted(maps.Keys(x.means))))
}

// word returns what a column stands for: what the mapping translates its header to, or
// its header as one word.
func (m *maker) word(c *cell, at int) string {
	header := m.supplied.headerAt(at)
	for _, name := range []string{header, m.supplied.ownAt(at)} {
		if word, ok := c.translate[fold(name)]; ok {
			return word
		}
	}
	if own := m.supplied.ownAt(at); own != "" {
		header = own
	}
	if c.column.Kind == standin.CodeCell {
		return strings.Join(strings.Fields(header), "")
	}
	return strings.Join(strings.Fields(header), "-")
}
