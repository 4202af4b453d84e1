package mapping

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"

	"go.yaml.in/yaml/v4"
	"golang.org/x/text/unicode/norm"
)

//go:embed words.yaml
var wordsFile []byte

// byLanguage are words by their language (ISO 639-1).
type byLanguage map[string][]string

// words are the words of the trade, folded (see foldWords).
type words struct {
	headers    []phrase                     // what a header calls a column
	qualifiers map[string][]string          // from, to, low, high, old and new
	fillers    map[string][]string          // empty, and number
	cells      map[string]map[string]string // what a cell means, by subject and what it says
}

// phrase is what a header may call a column.
type phrase struct {
	role   role
	tokens []string
}

// trade returns the words of words.yaml, which is read once.
var trade = sync.OnceValue(func() words {
	file, err := readWords()
	if err != nil {
		panic("importer/mapping/words.yaml: " + err.Error()) // it is part of the program
	}
	w := words{qualifiers: map[string][]string{}, fillers: map[string][]string{}, cells: map[string]map[string]string{}}
	for name, all := range file.Qualifiers {
		w.qualifiers[name] = all.folded()
	}
	for name, all := range file.Fillers {
		w.fillers[name] = all.folded()
	}
	for _, name := range sortedKeys(file.Headers) {
		for _, words := range file.Headers[name].folded() {
			if tokens := w.tokens(words); len(tokens) > 0 && !slices.Equal(tokens, []string{"no"}) {
				w.headers = append(w.headers, phrase{role(name), tokens})
			}
		}
	}
	for subject, meanings := range file.Cells {
		w.cells[subject] = map[string]string{}
		for meaning, all := range meanings {
			for _, word := range all.folded() {
				w.cells[subject][word] = meaning
			}
			w.cells[subject][foldWords(meaning)] = meaning
		}
	}
	return w
})

// wordFile is words.yaml as it is written.
type wordFile struct {
	Headers    map[string]byLanguage            `yaml:"headers"`
	Qualifiers map[string]byLanguage            `yaml:"qualifiers"`
	Fillers    map[string]byLanguage            `yaml:"fillers"`
	Cells      map[string]map[string]byLanguage `yaml:"cells"`
}

func readWords() (f wordFile, err error) {
	err = yaml.Load(wordsFile, &f)
	return f, err
}

// folded returns the words of all languages, each once, in order.
func (b byLanguage) folded() []string {
	var all []string
	for _, words := range b {
		for _, word := range words {
			all = append(all, foldWords(word))
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// meaning returns what a cell means of a subject such as shown or kind, "" where the
// words do not tell.
func meaning(subject, text string) string {
	cells, folded := trade().cells[subject], foldWords(text)
	if m := cells[folded]; m != "" || len(folded) < 4 {
		return m
	}
	for _, plural := range []string{"s", "n", "en", "e"} {
		if m := cells[strings.TrimSuffix(folded, plural)]; m != "" {
			return m
		}
	}
	return ""
}

// foldWords returns words for comparing: in lower case, without accents, ligatures and
// punctuation, with umlauts as their letters alone, whether they are written as ä or ae.
func foldWords(text string) string {
	var b strings.Builder
	space := false
	for _, r := range norm.NFKD.String(strings.ToLower(text)) {
		switch {
		case unicode.Is(unicode.Mn, r):
			continue
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			space = b.Len() > 0
			continue
		}
		if space {
			b.WriteByte(' ')
			space = false
		}
		switch r {
		case 'ß':
			b.WriteString("ss")
		case 'ł':
			b.WriteByte('l')
		case 'ø':
			b.WriteByte('o')
		case 'æ':
			b.WriteByte('a')
		case 'œ':
			b.WriteByte('o')
		default:
			b.WriteRune(r)
		}
	}
	return umlauts.Replace(b.String())
}

var umlauts = strings.NewReplacer("ae", "a", "oe", "o", "ue", "u")
