package locale_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"standin/api/locale"
)

var holes = regexp.MustCompile(`\{[^}]*\}`)

// Every text that pages and sheets have in English is in the catalogue of each other
// language.
func TestEverythingIsSaid(t *testing.T) {
	t.Parallel()
	entries, err := locale.ReadEntries("de")
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for english := range entries {
		all.WriteString(strings.ToLower(holes.ReplaceAllString(english, apart)) + "\n")
	}
	english := all.String()
	missing := map[string]string{}
	for _, p := range englishPieces(t) {
		if !strings.Contains(english, strings.ToLower(p.text)) && locale.German.Say(p.text) == p.text {
			missing[p.text] = p.place
		}
	}
	for text, place := range missing {
		t.Errorf("%s: add to a file in api/locale/de, with {holes} for what is put in (see doc.go):\n%s", place, fmt.Sprintf("%q: \"\"", text))
	}
}

// Every entry is of a text that there is. As texts are put together of parts, it is
// enough that most of its words stand beside each other in the program too.
func TestNothingElseIsSaid(t *testing.T) {
	t.Parallel()
	entries, err := locale.ReadEntries("de")
	if err != nil {
		t.Fatal(err)
	}
	program := pairsOf(programText(t))
	for english := range entries {
		if found, all := together(english, program); 2*found < all {
			t.Errorf("%q: this is hardly a text of the program any more; take the entry out, or put it right", english)
		}
	}
}

func TestLostEntriesAreNoticed(t *testing.T) {
	t.Parallel()
	program := pairsOf("“the build needs ” + needs + “; the board has ” the board is not recorded")
	for english, lost := range map[string]bool{
		"the build needs {needs}; the board has {has}": false, "the moon is made of cheese": true, "moonlight": true, "board": false,
	} {
		if found, all := together(english, program); 2*found < all != lost {
			t.Errorf("%q: %d of %d", english, found, all)
		}
	}
}

// together is how many words of an entry stand in a text with the next of the entry, of
// how many; of an entry of a few words, how many stand in it alone.
func together(english string, text map[[2]string]bool) (found, all int) {
	const few = 5
	alone := len(wordsOf(holes.ReplaceAllString(english, " "))) <= few
	for _, part := range holes.Split(english, -1) {
		words := wordsOf(part)
		for i := range words {
			pair := pairAt(words, i)
			if alone {
				pair = [2]string{words[i]}
			} else if i+1 == len(words) && i > 0 {
				break
			}
			all++
			if text[pair] {
				found++
			}
		}
	}
	return found, all
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' && r != '-' })
}

// pairAt are two words that follow each other, or one alone.
func pairAt(words []string, i int) [2]string {
	if i+1 < len(words) {
		return [2]string{words[i], words[i+1]}
	}
	return [2]string{words[i]}
}

// pairsOf are the words of a text, alone and with the next.
func pairsOf(text string) map[[2]string]bool {
	all, words := map[[2]string]bool{}, wordsOf(text)
	for i := range words {
		all[pairAt(words, i)] = true
		all[[2]string{words[i]}] = true
	}
	return all
}

// programText is all that the program may say, as it is written.
func programText(t testing.TB) string {
	t.Helper()
	var all strings.Builder
	for _, pattern := range []string{"*.go", "api/*.go", "api/*/*.go", "db/*.go", "api/page/template/*.html", "api/page/template/*/*.html", "api/page/static/*.js"} {
		names, err := filepath.Glob(filepath.Join(root, pattern))
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: no files (%v)", pattern, err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.HasSuffix(name, "_test.go") {
				all.Write(text)
			}
		}
	}
	return all.String()
}
