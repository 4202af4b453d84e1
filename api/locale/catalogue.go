package locale

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

//go:embed de
var files embed.FS

// catalogue is what is said in one language.
type catalogue struct {
	exact map[string]*form   // without holes
	begun map[string][]*form // by the letters they begin with, the most particular first
	open  []*form            // that begin with a hole
	and   string             // between the last two of a list
}

// begins is how many bytes tell forms apart that begin with letters.
const begins = 3

// readEntries reads the files of a language: English and what is said for it.
func readEntries(language string) (map[string]string, error) {
	names, err := fs.Glob(files, language+"/*.yaml")
	if err != nil {
		return nil, err
	}
	all := map[string]string{}
	for _, name := range names {
		text, err := files.ReadFile(name)
		if err != nil {
			return nil, err
		}
		entries := map[string]string{}
		if err := yaml.Unmarshal(text, &entries); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for english, said := range entries {
			if _, twice := all[english]; twice {
				return nil, fmt.Errorf("%s: %q is in another file too", name, english)
			}
			all[english] = said
		}
	}
	return all, nil
}

func newCatalogue(entries map[string]string, and string) (*catalogue, error) {
	c := &catalogue{exact: map[string]*form{}, begun: map[string][]*form{}, and: and}
	for english, said := range entries {
		f, err := newForm(english, said)
		if err != nil {
			return nil, fmt.Errorf("%q: %w", english, err)
		}
		switch first := f.literals[0]; {
		case len(f.holes) == 0:
			c.exact[english] = f
		case len(first) >= begins:
			c.begun[first[:begins]] = append(c.begun[first[:begins]], f)
		default:
			c.open = append(c.open, f)
		}
	}
	for _, forms := range c.begun {
		slices.SortFunc(forms, byWeight)
	}
	slices.SortFunc(c.open, byWeight)
	return c, nil
}

// byWeight puts the more particular form first.
func byWeight(a, b *form) int {
	if a.weight != b.weight {
		return b.weight - a.weight
	}
	return strings.Compare(a.english, b.english)
}

// deepest is how deep sentences may be within sentences.
const deepest = 6

// say says a text as far as it has forms: a whole one, or such parts of it as stand
// between dots in the middle of the line.
func (c *catalogue) say(text string) string {
	if !hasLetter(text) {
		return text
	}
	core := strings.Trim(text, around)
	at := strings.Index(text, core)
	said, ok := c.whole(core, 0)
	if !ok && strings.Contains(core, dot) {
		pieces := strings.Split(core, dot)
		for i := range pieces {
			pieces[i] = c.say(pieces[i])
		}
		said, ok = strings.Join(pieces, dot), true
	}
	if !ok {
		return text
	}
	return text[:at] + said + text[at+len(core):]
}

const (
	dot    = " · "
	around = " \u00a0\t\r\n·⇄△▲?…+→←,:()" // what stands before and after a sentence without being of it
)

// whole says a text that has forms from its beginning to its end.
func (c *catalogue) whole(text string, depth int) (string, bool) {
	if depth > deepest {
		return "", false
	}
	if !hasLetter(text) {
		return text, false
	}
	if said, ok := c.formed(text, depth); ok {
		return said, true
	}
	for _, between := range []string{"; ", ". ", "? "} {
		if said, ok := c.joined(text, between, depth); ok {
			return said, true
		}
	}
	return "", false
}

// joined says sentences that stand one after the other, all of them or none.
func (c *catalogue) joined(text, between string, depth int) (string, bool) {
	for at := 0; ; {
		next := strings.Index(text[at:], between)
		if next < 0 {
			return "", false
		}
		at += next
		end := at + len(strings.TrimSuffix(between, " ")) // the sign is of the sentence
		if between == "; " {
			end = at
		}
		if first, ok := c.formed(text[:end], depth+1); ok {
			if rest, ok := c.whole(text[at+len(between):], depth+1); ok {
				return first + text[end:at+len(between)] + rest, true
			}
		}
		at += len(between)
	}
}

// formed says a text by one form, with a capital or a full stop more than that has.
func (c *catalogue) formed(text string, depth int) (string, bool) {
	if said, ok := c.byForm(text, depth); ok {
		return said, true
	}
	stopped, full := strings.CutSuffix(text, ".")
	if full {
		if said, ok := c.byForm(stopped, depth); ok {
			return withStop(said), true
		}
	}
	lower, capital := lowered(text)
	if !capital {
		return "", false
	}
	if said, ok := c.byForm(lower, depth); ok {
		return capitalised(said), true
	}
	if full {
		if said, ok := c.byForm(lower[:len(lower)-1], depth); ok {
			return withStop(capitalised(said)), true
		}
	}
	return "", false
}

func (c *catalogue) byForm(text string, depth int) (string, bool) {
	if f := c.exact[text]; f != nil {
		return f.said[0], true
	}
	if len(text) >= begins {
		for _, f := range c.begun[text[:begins]] {
			if said, ok := f.match(c, text, depth); ok {
				return said, true
			}
		}
	}
	for _, f := range c.open {
		if said, ok := f.match(c, text, depth); ok {
			return said, true
		}
	}
	return "", false
}

// list says "a, b and c", part by part.
func (c *catalogue) list(text string, depth int) string {
	const comma, and = ", ", " and "
	part := func(text string) string {
		if said, ok := c.whole(text, depth); ok {
			return said
		}
		return text
	}
	last := ""
	if at := strings.LastIndex(text, and); at >= 0 {
		text, last = text[:at], c.and+part(text[at+len(and):])
	}
	pieces := strings.Split(text, comma)
	for i := range pieces {
		pieces[i] = part(pieces[i])
	}
	return strings.Join(pieces, comma) + last
}
