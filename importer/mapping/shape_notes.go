package mapping

import (
	"regexp"
	"slices"
	"strings"

	"standin/importer/table"
)

// footnotes are the marks behind what cells say, and what they mean.
type footnotes struct {
	marks []string // longer ones first
	texts map[string]string
	as    string // the column in which a row has its notes; empty: they are left out
}

// usualMark is what stands for a footnote behind other text: *, **, †, ¹, 1).
var usualMark = regexp.MustCompile(`(\*+|[†‡§¹²³⁴⁵⁶⁷⁸⁹]+|[ (]?\d\))$`)

// strip returns a text without the marks behind it, and the notes that they stand for.
// A mark that the mapping does not have is a fault. A mark alone is no footnote: it
// may be a tick.
func (n *footnotes) strip(text string) (rest string, notes []string, f *table.Fault) {
	rest = text
	for found := true; found; {
		found = false
		for _, mark := range n.marks {
			before, ok := strings.CutSuffix(rest, mark)
			if strings.HasSuffix(before, mark[:1]) {
				continue // ** is another mark than *
			}
			if before = strings.TrimRight(before, " ,\u00a0\u202f"); ok && before != "" {
				rest, found = before, true
				notes = append(notes, n.texts[mark])
				break
			}
		}
	}
	slices.Reverse(notes)
	if m := usualMark.FindString(rest); m != "" && table.Trim(m) != rest {
		return rest, nil, table.BadValue("%s ends in the footnote mark %s, which the mapping does not have", table.Quoted(text), table.Quoted(table.Trim(m)))
	}
	return rest, notes, nil
}

// legend reports whether a row explains a mark.
func (n *footnotes) legend(row table.Record, first, filled int) bool {
	text := row.Cell(first)
	for _, mark := range n.marks {
		switch rest, ok := strings.CutPrefix(text, mark); {
		case strings.HasPrefix(rest, mark[:1]):
		case ok && filled == 1 && rest != "":
			return true
		case ok && filled == 2 && rest == "":
			return headed(strings.Join(row.Cells[first+1:], " ")) == headed(n.texts[mark])
		}
	}
	return false
}

// withNotes returns a row with its marks taken off, and its notes in their column.
func (s *Supplied) withNotes(r record) record {
	n := s.mapping.notes
	var all []string
	r = r.clone()
	for at := range r.Cells {
		text := r.Cell(at)
		if text == "" || r.Kind(at) != table.TextCell {
			continue
		}
		rest, notes, f := n.strip(text)
		if f != nil && r.Wrong[at] == nil {
			if r.Wrong == nil {
				r.Wrong = map[int]*table.Fault{}
			}
			r.Wrong[at] = f
		}
		r.Cells[at] = rest
		for _, note := range notes {
			if !slices.Contains(all, note) {
				all = append(all, note)
			}
		}
	}
	if n.as != "" {
		r.added[len(r.added)-1] = addedCell{text: strings.Join(all, "; "), line: r.Line, at: firstAdded + len(r.added) - 1}
	}
	return r
}
