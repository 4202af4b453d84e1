package locale

import (
	"errors"
	"fmt"
	"strings"
)

// kind is what may stand in a hole.
type kind uint8

const (
	data   kind = iota // a name or the like, kept
	free               // any text, kept
	number             // digits, kept
	figure             // what has no letter: an amount, a date, kept
	phrase             // what has a form
	either             // what has a form, or a name
	rest               // what has a form, or any text
	list               // several of either
)

// hole is a place in a form that is filled by a part of a sentence.
type hole struct {
	name string
	kind kind
}

// form is an English sentence with holes, and how it is said.
type form struct {
	english  string
	literals []string // around the holes: one more than there are holes
	holes    []hole
	said     []string // of the other language, likewise
	fills    []int    // which hole stands after each of said but the last
	weight   int      // bytes of its literals: how particular it is
}

// newForm reads an entry of a catalogue.
func newForm(english, said string) (*form, error) {
	f := &form{english: english}
	var names []string
	var err error
	if f.literals, names, err = parts(english); err != nil {
		return nil, err
	}
	at := map[string]int{}
	for i, name := range names {
		h := holeOf(name)
		if _, twice := at[h.name]; twice {
			return nil, fmt.Errorf("the hole {%s} is there twice", h.name)
		}
		if i > 0 && f.literals[i] == "" {
			return nil, fmt.Errorf("the hole {%s} follows another with nothing between them", h.name)
		}
		at[h.name] = i
		f.holes = append(f.holes, h)
	}
	for _, l := range f.literals {
		f.weight += len(l)
	}
	if f.said, names, err = parts(said); err != nil {
		return nil, err
	}
	used := map[string]bool{}
	for _, name := range names {
		i, known := at[name]
		if !known {
			return nil, fmt.Errorf("the hole {%s} is not in the English", name)
		}
		used[name] = true
		f.fills = append(f.fills, i)
	}
	for name := range at {
		if !used[name] {
			return nil, fmt.Errorf("the hole {%s} is left out", name)
		}
	}
	return f, nil
}

// parts splits a text at its holes.
func parts(text string) (literals, names []string, err error) {
	for {
		open := strings.IndexByte(text, '{')
		if open < 0 {
			if strings.Contains(text, "}") {
				return nil, nil, errors.New("a } without its {")
			}
			return append(literals, text), names, nil
		}
		end := strings.IndexByte(text[open:], '}')
		if end < 2 {
			return nil, nil, errors.New("a { without its }, or an empty hole")
		}
		literals, names = append(literals, text[:open]), append(names, text[open+1:open+end])
		text = text[open+end+1:]
	}
}

// holeOf reads the name of a hole with the sign of its kind.
func holeOf(name string) hole {
	switch name[0] {
	case ':':
		return hole{name[1:], phrase}
	case '*':
		return hole{name[1:], free}
	case '~':
		return hole{name[1:], rest}
	case '#':
		return hole{name[1:], figure}
	case '?':
		return hole{name[1:], either}
	case ',':
		return hole{name[1:], list}
	}
	if name[0] == 'n' && strings.Trim(name[1:], "0123456789") == "" {
		return hole{name, number}
	}
	return hole{name, data}
}

// match says a sentence by a form; ok reports whether it is of that form.
func (f *form) match(s *saying, text string, depth int) (said string, ok bool) {
	first, last := f.literals[0], f.literals[len(f.literals)-1]
	if len(text) < f.weight+len(f.holes) || !strings.HasPrefix(text, first) || !strings.HasSuffix(text, last) {
		return "", false
	}
	if len(f.holes) == 0 {
		return f.said[0], text == f.english
	}
	filled := make([]string, len(f.holes))
	if !f.fill(s, text[len(first):len(text)-len(last)], 0, filled, depth) {
		return "", false
	}
	var b strings.Builder
	for i, literal := range f.said {
		b.WriteString(literal)
		if i < len(f.fills) {
			b.WriteString(filled[f.fills[i]])
		}
	}
	return b.String(), true
}

// fill fills the holes from the given one on by a text, each by as little as can be.
func (f *form) fill(s *saying, text string, from int, filled []string, depth int) bool {
	if from == len(f.holes)-1 {
		said, ok := f.holes[from].take(s, text, depth)
		filled[from] = said
		return ok
	}
	between := f.literals[from+1]
	for at := 1; s.looked < mostLooked; at++ {
		s.looked++
		next := strings.Index(text[min(at, len(text)):], between)
		if next < 0 {
			return false
		}
		at += next
		if said, ok := f.holes[from].take(s, text[:at], depth); ok {
			filled[from] = said
			if f.fill(s, text[at+len(between):], from+1, filled, depth) {
				return true
			}
		} else if f.holes[from].kind.settled() {
			return false
		}
	}
	return false
}

// settled reports whether a text that may not stand in a hole may not do so with more
// behind it either.
func (k kind) settled() bool { return k == data || k == number || k == figure || k == list }

// take says what stands in a hole; ok reports whether it may stand there.
func (h hole) take(s *saying, text string, depth int) (said string, ok bool) {
	if text == "" {
		return "", false
	}
	switch h.kind {
	case free:
		return text, true
	case number:
		return text, strings.Trim(text, "0123456789") == ""
	case figure:
		return text, !hasLetter(text)
	case phrase:
		return s.whole(text, depth+1)
	case list:
		return s.list(text, depth+1), !holdsSentences(text)
	case either, rest:
		if said, ok := s.whole(text, depth+1); ok {
			return said, true
		}
	case data:
	}
	return text, h.kind == rest || isName(text)
}
