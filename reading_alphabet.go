package standin

import (
	"fmt"
	"slices"
	"strings"
)

// What the points of a read-back may show that are not lamps.
const (
	lampAlphabet  = "10f"
	digitAlphabet = "0123456789"
	signAlphabet  = digitAlphabet + "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
)

// colours are those that a lamp of several colours may show, by their initial.
var colours = map[byte]string{
	'r': "red", 'g': "green", 'y': "yellow", 'a': "amber", 'b': "blue", 'w': "white", 'o': "orange", 'v': "violet",
}

// AlphabetForms says how an alphabet is written in a bundle, for messages.
const AlphabetForms = "lamp (1 0 f), digit (0-9), sign (0-9 A-Z), or the colours of a lamp joined by hyphens, red-green " +
	"(of red, green, yellow, amber, blue, white, orange, violet): one for all points, or one for each in reading order"

// ParseAlphabet reads what the points of a read-back may show, as AlphabetForms
// describes it. It returns nil where all are lamps, as they are for empty text.
func ParseAlphabet(text string, points int) ([]string, error) {
	words := strings.Fields(strings.ToLower(text))
	if len(words) != 0 && len(words) != 1 && len(words) != points {
		return nil, fmt.Errorf("%q has %s, the family reads %s; write %s", text, countOf(len(words), "alphabet"), countOf(points, "point"), AlphabetForms)
	}
	alphabets, lamps := make([]string, len(words)), 0
	for i, word := range words {
		if alphabets[i] = alphabetNamed(word); alphabets[i] == "" {
			return nil, fmt.Errorf("%q is no alphabet; write %s", word, AlphabetForms)
		}
		if alphabets[i] == lampAlphabet {
			lamps++
		}
	}
	if lamps == len(words) {
		return nil, nil
	}
	if len(words) == 1 {
		alphabets = slices.Repeat(alphabets, points)
	}
	return alphabets, nil
}

// alphabetNamed returns the characters of an alphabet, "" where there is none of
// that name.
func alphabetNamed(word string) string {
	switch word {
	case "lamp":
		return lampAlphabet
	case "digit":
		return digitAlphabet
	case "sign":
		return signAlphabet
	}
	shows := []byte{ShowsUnlit}
	for name := range strings.SplitSeq(word, "-") {
		if name == "" || colours[name[0]] != name || slices.Contains(shows, name[0]) {
			return ""
		}
		shows = append(shows, name[0])
	}
	return string(shows)
}

// AlphabetText is the reverse of ParseAlphabet, empty where all points are lamps.
func AlphabetText(alphabets []string) string {
	words := make([]string, len(alphabets))
	for i, alphabet := range alphabets {
		words[i] = alphabetName(alphabet)
	}
	if len(words) > 0 && len(slices.Compact(slices.Clone(words))) == 1 {
		words = words[:1]
	}
	return strings.Join(words, " ")
}

func alphabetName(alphabet string) string {
	switch alphabet {
	case lampAlphabet, "":
		return "lamp"
	case digitAlphabet:
		return "digit"
	case signAlphabet:
		return "sign"
	}
	var names []string
	for _, shows := range []byte(alphabet) {
		if name := colours[shows]; name != "" {
			names = append(names, name)
		}
	}
	return strings.Join(names, "-")
}

// PointShows are the characters that a read-back point may show, by its index.
func (f *Family) PointShows(point int) string {
	if point < len(f.Alphabet) && f.Alphabet[point] != "" {
		return f.Alphabet[point]
	}
	return lampAlphabet
}

// Shown returns how people say what a point shows, or must show: as ShownWord
// for a lamp; a colour; "shows 3" for a digit or a letter.
func (f *Family) Shown(point int, shows byte) string { return shownIn(f.PointShows(point), shows) }

func shownIn(alphabet string, shows byte) string {
	switch {
	case alphabet == lampAlphabet || shows == ShowsEither || strings.IndexByte(alphabet, shows) < 0:
		return ShownWord(shows)
	case alphabet == digitAlphabet || alphabet == signAlphabet:
		return "shows " + string(shows)
	case shows == ShowsUnlit:
		return ShownWord(shows)
	}
	return colours[shows]
}

// ShownForms says what the characters of the family's points mean, those of lamps
// as LampForms does: "1 lit, 0 unlit, f flashing, r red, digits as shown".
func (f *Family) ShownForms() string {
	var forms []string
	for point := range max(1, len(f.Readback)) {
		for _, form := range alphabetForms(f.PointShows(point)) {
			if !slices.Contains(forms, form) {
				forms = append(forms, form)
			}
		}
	}
	return strings.Join(forms, ", ")
}

func alphabetForms(alphabet string) []string {
	switch alphabet {
	case lampAlphabet:
		return strings.Split(LampForms, ", ")
	case digitAlphabet:
		return []string{"digits as shown"}
	case signAlphabet:
		return []string{"digits and letters as shown"}
	}
	var forms []string
	for _, shows := range []byte(alphabet) {
		forms = append(forms, string(shows)+" "+shownIn(alphabet, shows))
	}
	return forms
}

// mustShow returns a word of Shown as it follows "must": "be lit", "show 3".
func mustShow(word string) string {
	if what, ok := strings.CutPrefix(word, "shows "); ok {
		return "show " + what
	}
	return "be " + word
}

// doesShow returns a word of Shown as it follows the name of a point: "is lit",
// "shows 3".
func doesShow(word string) string {
	if strings.HasPrefix(word, "shows ") {
		return word
	}
	return "is " + word
}

// lampsOnly reports whether every read-back point is a lamp.
func (f *Family) lampsOnly() bool {
	return !slices.ContainsFunc(f.Alphabet, func(a string) bool { return a != "" && a != lampAlphabet })
}

// ReadingWord returns what a point shows by a word of a reading, and whether the
// word says anything: of a lamp as the function ReadingWord takes it, else the
// digit, the letter, or the colour or its initial.
func (f *Family) ReadingWord(point int, word string) (shows byte, ok bool) {
	alphabet := f.PointShows(point)
	shows, ok = ReadingWord(word)
	if alphabet == lampAlphabet || ok && shows == NotRead {
		return shows, ok
	}
	if alphabet == digitAlphabet || alphabet == signAlphabet {
		word = strings.ToUpper(word)
		return first(word), len(word) == 1 && strings.Contains(alphabet, word)
	}
	lower := strings.ToLower(word)
	if ok && shows == ShowsUnlit {
		return shows, true
	}
	known := len(lower) == 1 || lower != "" && colours[lower[0]] == lower
	return first(lower), known && strings.IndexByte(alphabet, lower[0]) >= 0
}

// SignWord is what a point that is no lamp shows by a word of a table: a digit or a
// letter as it is, a colour by its name. What the alphabet of the point allows is
// not asked.
func SignWord(word string) (shows byte, ok bool) {
	lower := strings.ToLower(word)
	switch {
	case lower == "":
		return NotRead, false
	case len(word) == 1 && strings.Contains(signAlphabet, strings.ToUpper(word)):
		return word[0], true
	case colours[lower[0]] == lower:
		return lower[0], true
	}
	return NotRead, false
}

func first(text string) byte {
	if text == "" {
		return NotRead
	}
	return text[0]
}

// readingForms are the forms in which a reading of the family may be given, for
// messages.
func (f *Family) readingForms() string {
	if f.lampsOnly() {
		return ReadingForms
	}
	return "one character per point in reading order, ? for one not read (" + AlphabetText(f.Alphabet) +
		"), as words separated by spaces, or by name (K1=3 K2=red)"
}

// CheckPattern returns what is wrong with a pattern of the family, nil where
// nothing is. An empty pattern means that none is recorded, and is valid.
func (f *Family) CheckPattern(p Pattern) error {
	if f.lampsOnly() {
		for _, c := range p {
			if !strings.ContainsRune(lampAlphabet+string(ShowsEither), c) {
				return fmt.Errorf("a pattern cannot hold %q; write %s", c, PatternForms)
			}
		}
	}
	if p != "" && len(p) != len(f.Readback) {
		return fmt.Errorf("the pattern %s has %s, the family reads %d%s",
			p, countOf(len(p), "point"), len(f.Readback), inBrackets(f.Readback))
	}
	for i := range len(p) {
		if p[i] != ShowsEither && strings.IndexByte(f.PointShows(i), p[i]) < 0 {
			return fmt.Errorf("%q is nothing %s can show; it is a %s, one of %s, or - for either",
				p[i], f.Readback[i], alphabetName(f.PointShows(i)), strings.Join(strings.Split(f.PointShows(i), ""), " "))
		}
	}
	return nil
}

// ParsePanel reads the read-back points as they lie on the panel: their names in
// rows, the rows separated by a slash. Each point must be there once. Nil for
// empty text.
func ParsePanel(text string, readback []string) ([][]string, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	var panel [][]string
	var names []string
	for row := range strings.SplitSeq(text, "/") {
		panel = append(panel, strings.Fields(row))
		names = append(names, strings.Fields(row)...)
	}
	sorted, points := slices.Sorted(slices.Values(names)), slices.Sorted(slices.Values(readback))
	if !slices.Equal(sorted, points) {
		return nil, fmt.Errorf("%q does not have each read-back point once%s; write them in rows as they lie, K1 K2 / K3 K4", text, inBrackets(readback))
	}
	return panel, nil
}

// PanelText is the reverse of ParsePanel.
func PanelText(panel [][]string) string {
	rows := make([]string, len(panel))
	for i, row := range panel {
		rows[i] = strings.Join(row, " ")
	}
	return strings.Join(rows, " / ")
}
