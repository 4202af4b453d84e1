package locale

import (
	"embed"
	"fmt"
	"io/fs"
	"regexp"
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
const deepest = 24

// say says a text as far as it has forms: a whole one, or such parts of it as stand
// between dots in the middle of the line.
func (c *catalogue) say(text string) string {
	if !hasLetter(text) {
		return text
	}
	core := strings.Trim(text, blank)
	said, ok := c.spaced(core)
	if !ok {
		core = strings.Trim(text, blank+around)
		said, ok = c.spaced(core)
	}
	at := strings.Index(text, core)
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
	blank  = " \u00a0\t\r\n"
	around = "·⇄△▲≠?…+→←,:;()•" // what stands before and after a sentence without being of it
)

// spaced says a text whose spaces before units may be such at which no line breaks.
// They are so again in what is said.
func (c *catalogue) spaced(text string) (string, bool) {
	plain := strings.ReplaceAll(text, unbroken, " ")
	said, ok := (&saying{catalogue: c}).whole(plain, 0)
	if plain != text {
		said = beforeUnits.ReplaceAllString(said, "$1"+unbroken+"$2")
	}
	return said, ok
}

const unbroken = "\u00a0"

// beforeUnits is a figure with a unit after it.
var beforeUnits = regexp.MustCompile(`(\d) (Ω|kΩ|MΩ|mA|A|V|kW|W|mm²|mm|m|s|Hz|%|°C)`)

// saying is the work of saying one text: what is known of its parts, so that none is
// looked at twice.
type saying struct {
	*catalogue
	known  map[string]outcome
	looked int
}

type outcome struct {
	said string
	ok   bool
}

// mostLooked is how many parts of one text are looked at, far more than a sentence has,
// and longest how many bytes it may have: what somebody may have typed must not keep a
// page waiting.
const (
	mostLooked = 20000
	longest    = 1500
)

// whole says a text that has forms from its beginning to its end.
func (s *saying) whole(text string, depth int) (string, bool) {
	if !hasLetter(text) || depth > deepest || len(text) > longest {
		return text, false
	}
	if known, ok := s.known[text]; ok {
		return known.said, known.ok
	}
	if s.looked++; s.looked > mostLooked {
		return "", false
	}
	said, ok := s.joined(text, ". ", depth) // soon done where there are many
	if !ok {
		said, ok = s.formed(text, depth)
	}
	for _, between := range []string{"; ", "? "} {
		if !ok {
			said, ok = s.joined(text, between, depth)
		}
	}
	if s.known == nil {
		s.known = map[string]outcome{}
	}
	s.known[text] = outcome{said, ok}
	return said, ok
}

// joined says sentences that stand one after the other, all of them or none.
func (s *saying) joined(text, between string, depth int) (string, bool) {
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
		if first, ok := s.formed(text[:end], depth+1); ok {
			if rest, ok := s.whole(text[at+len(between):], depth); ok {
				return first + text[end:at+len(between)] + rest, true
			}
		}
		at += len(between)
	}
}

// variant is a text as a form may have it: without its full stop, or without the
// capital that it begins with.
type variant struct {
	text           string
	stopped, lower bool
}

func variantsOf(text string) []variant {
	all := append(make([]variant, 0, 4), variant{text: text})
	if stopped, ok := strings.CutSuffix(text, "."); ok {
		all = append(all, variant{text: stopped, stopped: true})
	}
	for _, v := range all {
		if lower, ok := lowered(v.text); ok {
			all = append(all, variant{lower, v.stopped, true})
		}
	}
	return all
}

func (v variant) put(said string) string {
	if v.lower {
		said = capitalised(said)
	}
	if v.stopped {
		said = withStop(said)
	}
	return said
}

// formed says a text by one form, with a capital or a full stop more than that has: by
// one without holes, else by the most particular one.
func (s *saying) formed(text string, depth int) (string, bool) {
	variants := variantsOf(text)
	for _, v := range variants {
		if f := s.exact[v.text]; f != nil {
			return v.put(f.said[0]), true
		}
	}
	best, most := "", -1
	for _, v := range variants {
		if len(v.text) >= begins {
			if said, weight, ok := s.first(s.begun[v.text[:begins]], v.text, depth); ok && weight > most {
				best, most = v.put(said), weight
			}
		}
	}
	for _, v := range variants {
		if said, weight, ok := s.first(s.open, v.text, depth); ok && weight > most {
			best, most = v.put(said), weight
		}
	}
	return best, most >= 0
}

// first says a text by the first form that it has.
func (s *saying) first(forms []*form, text string, depth int) (said string, weight int, ok bool) {
	for _, f := range forms {
		if said, ok := f.match(s, text, depth); ok {
			return said, f.weight, true
		}
	}
	return "", 0, false
}

// list says "a, b and c", part by part.
func (s *saying) list(text string, depth int) string {
	const comma, and = ", ", " and "
	part := func(text string) string {
		if said, ok := s.whole(text, depth); ok {
			return said
		}
		return text
	}
	last := ""
	if at := strings.LastIndex(text, and); at >= 0 {
		text, last = text[:at], s.and+part(text[at+len(and):])
	}
	pieces := strings.Split(text, comma)
	for i := range pieces {
		pieces[i] = part(pieces[i])
	}
	return strings.Join(pieces, comma) + last
}
