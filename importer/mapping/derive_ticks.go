package mapping

import (
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/table"
)

// ticks is what the cells of a pattern say in a supplier's table.
type ticks struct {
	means  map[string]byte // by what the cell says, folded
	empty  byte            // what an empty cell means; 0: not said
	filled byte            // what any other cell means; 0: not said
	itself bool            // any other cell means what it says: a digit, a letter, a colour
}

// itself is the word for cells that mean what they say.
const itself = "itself"

// tickShows are what a read-back point can be to show, in the order of their words.
var tickShows = []byte{standin.ShowsEither, standin.ShowsFlashing, standin.ShowsLit, standin.ShowsUnlit}

func (r *yamlReader) ticks(n *yaml.Node) *ticks {
	t := &ticks{means: map[string]byte{}}
	known := map[string]func(*yaml.Node){
		"empty": func(n *yaml.Node) { t.empty = r.shows(n) },
		"filled": func(n *yaml.Node) {
			if t.itself = n.Value == itself; !t.itself {
				t.filled = r.shows(n, itself)
			}
		},
	}
	for _, shows := range tickShows {
		word := standin.ShownWord(shows)
		known[word] = func(n *yaml.Node) {
			for _, item := range r.items(n) {
				text := fold(r.text(item))
				switch before, twice := t.means[text]; {
				case text == "":
					r.fault(item, "write what an empty cell means as empty: %s", word)
				case twice && before != shows:
					r.fault(item, "%s means two things; leave one out", table.Quoted(text))
				}
				t.means[text] = shows
			}
		}
	}
	r.each(n, "ticks", known)
	return t
}

// shows is the word for what a point must show; 0 where it is none, or one of
// further words that may stand there.
func (r *yamlReader) shows(n *yaml.Node, words ...string) byte {
	for _, shows := range tickShows {
		words = append(words, standin.ShownWord(shows))
	}
	shows, _ := standin.PatternWord(r.oneOf(n, words...))
	return shows
}

// point returns what one cell says a read-back point shows.
func (t *ticks) point(text string) (byte, *table.Fault) {
	if text == "" {
		if t.empty == 0 {
			return 0, table.MissingValue("the cell is empty, and the mapping does not say what an empty cell of the pattern means")
		}
		return t.empty, nil
	}
	if shows, ok := t.means[fold(text)]; ok {
		return shows, nil
	}
	if t.filled != 0 {
		return t.filled, nil
	}
	if shows, ok := standin.SignWord(text); ok && t.itself {
		return shows, nil
	}
	if t.itself {
		return 0, table.BadValue("%s is no digit, no letter and no colour that a read-back point can show", table.Quoted(text))
	}
	return 0, table.BadValue("%s is not one of the ticks of the mapping (%s)", table.Quoted(text), table.List(slices.Sorted(maps.Keys(t.means))))
}

// pattern returns the pattern that cells give together, "" where all of them are empty
// and the mapping does not say what that means. at is the cell of the fault.
func (t *ticks) pattern(texts []string) (pattern string, at int, f *table.Fault) {
	if t.empty == 0 && table.Blank(texts) {
		return "", 0, nil
	}
	var b strings.Builder
	for i, text := range texts {
		shows, f := t.point(text)
		if f != nil {
			return "", i, f
		}
		b.WriteByte(shows)
	}
	return b.String(), 0, nil
}

// inOneCell returns the ticks of a cell that has those of all points: split at the
// separators that the mapping names, else one character each.
func (c *cell) inOneCell(text string) []string {
	switch {
	case text == "":
		return []string{""}
	case c.list != nil:
		return parted(text, c.list)
	}
	return strings.Split(strings.Join(strings.Fields(text), ""), "")
}

// parted returns the parts of text between separators, trimmed. Where several
// separators match, the longest counts.
func parted(text string, separators []string) []string {
	var parts []string
	start := 0
	for i := 0; i < len(text); {
		length := 0
		for _, s := range separators {
			if len(s) > length && strings.HasPrefix(text[i:], s) {
				length = len(s)
			}
		}
		if length == 0 {
			i++
			continue
		}
		parts = append(parts, table.Trim(text[start:i]))
		i += length
		start = i
	}
	return append(parts, table.Trim(text[start:]))
}
