package bundle

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"standin"
	"standin/db/internal/pg"
)

// word is a circuit or an option, and how often the catalogue has it.
type word struct {
	text  string
	many  int
	place *int64 // where it is under review first; nil: nowhere
	file  string // the file that place is in
	loose bool   // it is in no layout
}

// vocabulary is where the words of a kind are.
type vocabulary struct {
	noun    string
	uses    []use
	columns map[string]string // by file
}

type use struct{ file, words string }

var (
	circuits = vocabulary{noun: "circuit", uses: []use{{"layouts", "unnest(circuits)"}, {"loads", "circuit"}, {"ratings", "circuit"}},
		columns: map[string]string{"layouts": "circuits", "loads": "circuit", "ratings": "circuit"}}
	options = vocabulary{noun: "option", uses: []use{{"revisions", "unnest(options)"}, {"builds", "unnest(needs)"}},
		columns: map[string]string{"revisions": "options", "builds": "needs"}}
)

// sql selects each word with how often it is used, and the first place under review,
// with its file.
func (v vocabulary) sql() string {
	var all []string
	for _, u := range v.uses {
		all = append(all, fmt.Sprintf("SELECT '%s' AS file, %s AS word, place FROM next_%[1]s", u.file, u.words))
	}
	return `SELECT word, count(*)::integer, min(place), coalesce((array_agg(file ORDER BY place))[1], ''), bool_and(file <> 'layouts')
		FROM (` + strings.Join(all, " UNION ALL ") + `) w WHERE word <> '` + standin.Unused + `' GROUP BY word ORDER BY word`
}

func (in *inspection) wordsOf(ctx context.Context, v vocabulary) ([]word, error) {
	rows, err := in.query(ctx, v.sql())
	if err != nil {
		return nil, pg.Translate(err)
	}
	defer rows.Close()
	var all []word
	for rows.Next() {
		var w word
		if err := rows.Scan(&w.text, &w.many, &w.place, &w.file, &w.loose); err != nil {
			return nil, pg.Translate(err)
		}
		all = append(all, w)
	}
	return all, pg.Translate(rows.Err())
}

// A word that is hardly used may be misspelt for one that is used several times as
// often.
const (
	hardlyUsed   = 2
	timesAsOften = 3
)

// Where a catalogue uses circuits this often, and few of them once, one that is used
// once is odd.
const (
	usesThatTell   = 50
	wordsOfOneOnce = 10
)

// warnWords finds the circuits and options that are near a known one that is used far
// more often, and the loads and ratings of a circuit that nothing else has.
func (in *inspection) warnWords(ctx context.Context, limit int) ([]located, int, error) {
	var found []located
	for _, v := range []vocabulary{circuits, options} {
		if !slices.ContainsFunc(v.uses, func(u use) bool { return in.reviews(u.file) }) {
			continue
		}
		words, err := in.wordsOf(ctx, v)
		if err != nil {
			return nil, 0, err
		}
		found = append(found, v.odd(words)...)
	}
	return firstByPlace(found, limit), len(found), nil
}

// odd returns the findings about the words under review.
func (v vocabulary) odd(words []word) (found []located) {
	uses, once := 0, 0
	for _, w := range words {
		if uses += w.many; w.many == 1 && w.loose {
			once++
		}
	}
	for _, w := range words {
		if w.place == nil {
			continue
		}
		f := standin.Finding{File: w.file + ".csv", Column: v.columns[w.file], Value: w.text}
		switch meant := w.meant(words); {
		case meant != "":
			f.Code, f.Correction = standin.LikelyMisspelt, meant
			f.Message = fmt.Sprintf("the %s %s is near %s, which the catalogue has far more often: to it they are two different ones", v.noun, w.text, meant)
		case w.many == 1 && w.loose && v.noun == circuits.noun && uses >= usesThatTell && once <= max(1, len(words)/wordsOfOneOnce):
			f.Code = standin.UsedOnce
			f.Message = fmt.Sprintf("the circuit %s is used here alone: no layout, no other load and no other rating has it, so that it is compared with nothing", w.text)
		default:
			continue
		}
		found = append(found, located{place: *w.place, finding: f})
	}
	return found
}

// meant returns the one word that this was probably meant to be, "" where there is
// none, or more than one.
func (w word) meant(words []word) string {
	meant := ""
	for _, other := range words {
		if !w.isOtherwise(other) && (w.many > hardlyUsed || other.many < timesAsOften*w.many || !w.slipsFor(other)) {
			continue
		}
		if meant != "" {
			return ""
		}
		meant = other.text
	}
	return meant
}

// isOtherwise reports whether a word is another, used as often at least, but for case,
// hyphens, and letters of another alphabet.
func (w word) isOtherwise(other word) bool {
	a, b := standin.InLatin(w.text), standin.InLatin(other.text)
	return w.text != other.text && w.many <= other.many && letters(a) == letters(b) && digits(a) == digits(b) && standin.InLatin(other.text) == other.text
}

// slipsFor reports whether a word is another but for a slip in a single part of it
// between hyphens. Parts that differ in a digit are numbered, those of one or two letters
// are marks (n for neutral), and neither is a slip.
func (w word) slipsFor(other word) bool {
	a, b := strings.Split(w.text, "-"), strings.Split(other.text, "-")
	if len(a) != len(b) || digits(w.text) != digits(other.text) {
		return false
	}
	slips := 0
	for i := range a {
		if a[i] == b[i] {
			continue
		}
		distance, near := standin.FoldName(a[i]).Near(standin.FoldName(b[i]))
		begun := strings.HasSuffix(a[i], b[i]) || strings.HasSuffix(b[i], a[i]) // clock is no slip for lock
		if slips++; len(b[i]) < 3 || !near || distance > 1 || begun {
			return false
		}
	}
	return slips == 1
}

// letters are those of a word, in small.
func letters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
}

func digits(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return r
		}
		return -1
	}, text)
}
