package standin

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// What a read-back point may show, in a pattern, a reading or a prediction.
const (
	ShowsLit      = '1'
	ShowsUnlit    = '0'
	ShowsFlashing = 'f'
	ShowsEither   = '-' // in a pattern only: the point says nothing
	NotRead       = '?' // in a reading: unread; in a prediction: not known
)

// LampForms says what the characters of a lamp mean, for messages and forms.
const LampForms = "1 lit, 0 unlit, f flashing"

// PatternForms says what a pattern may hold, for messages and forms.
const PatternForms = LampForms + ", - either"

// ShownWord returns how people say what a point shows, or must show: lit, unlit,
// flashing or either; "not read" for everything else.
func ShownWord(shows byte) string {
	switch shows {
	case ShowsLit:
		return "lit"
	case ShowsUnlit:
		return "unlit"
	case ShowsFlashing:
		return "flashing"
	case ShowsEither:
		return "either"
	}
	return "not read"
}

// PatternWord returns what a point must show by its word, the reverse of
// ShownWord, and whether there is such a word. Case does not count.
func PatternWord(word string) (shows byte, ok bool) {
	for _, shows := range []byte{ShowsLit, ShowsUnlit, ShowsFlashing, ShowsEither} {
		if strings.EqualFold(word, ShownWord(shows)) {
			return shows, true
		}
	}
	return 0, false
}

// Definite is the number of points at which the pattern is not either.
func (p Pattern) Definite() int { return len(p) - strings.Count(string(p), string(ShowsEither)) }

// DistanceTo is the number of points at which the patterns differ; an either
// differs from nothing.
func (p Pattern) DistanceTo(q Pattern) int {
	mismatches, _ := packPattern(p).compare(packPattern(q))
	return mismatches
}

// packed is a pattern or a reading as bit masks, one bit per point, 64 points per
// word. A point that says nothing has its bit in none of them. Further is nil
// where every point is a lamp, as most are.
type packed struct {
	words   []packedWord
	further []furtherWord
}

type packedWord struct{ says, lit, flashing uint64 }

// furtherWord has the higher bits of the numbers of characters that are not those
// of a lamp.
type furtherWord [4]uint64

// shownNumbers has the characters a point may show; the first are those of lamps,
// whose places take two bits.
const shownNumbers = "01f23456789ABCDEFGHIJKLMNOPQRSTUVWXYZrgyabwov"

func packPattern(p Pattern) packed { return pack(string(p)) }

func pack(shows string) packed {
	p := packed{words: make([]packedWord, (len(shows)+63)/64)}
	for i := range len(shows) {
		w, bit := &p.words[i/64], uint64(1)<<(i%64)
		switch shows[i] {
		case ShowsLit:
			w.lit |= bit
		case ShowsFlashing:
			w.flashing |= bit
		case ShowsUnlit:
		case ShowsEither, NotRead:
			continue
		default:
			if !p.packFurther(i, shows[i]) {
				continue
			}
		}
		w.says |= bit
	}
	return p
}

func (p *packed) packFurther(i int, shows byte) bool {
	number := strings.IndexByte(shownNumbers, shows)
	if number < 0 {
		return false
	}
	if p.further == nil {
		p.further = make([]furtherWord, len(p.words))
	}
	w, f, at := &p.words[i/64], &p.further[i/64], i%64
	w.lit |= uint64(number&1) << at
	w.flashing |= uint64(number>>1&1) << at
	for plane := range f {
		f[plane] |= uint64(number>>(plane+2)&1) << at
	}
	return true
}

// compare counts the points at which both say something, and those of them at
// which they differ. Both have the same number of points.
func (p packed) compare(q packed) (mismatches, counting int) {
	if p.further != nil || q.further != nil {
		return p.compareFurther(q)
	}
	for i := range p.words {
		m, c := p.words[i].compare(&q.words[i])
		mismatches += m
		counting += c
	}
	return mismatches, counting
}

func (p *packedWord) compare(q *packedWord) (mismatches, counting int) {
	both := p.says & q.says
	differ := both & ((p.lit ^ q.lit) | (p.flashing ^ q.flashing))
	return bits.OnesCount64(differ), bits.OnesCount64(both)
}

// differing counts the points at which both say something and they differ.
func (p packedWord) differing(q packedWord) int {
	return bits.OnesCount64(p.says & q.says & ((p.lit ^ q.lit) | (p.flashing ^ q.flashing)))
}

func (p packed) compareFurther(q packed) (mismatches, counting int) {
	for i := range p.words {
		a, b := &p.words[i], &q.words[i]
		both := a.says & b.says
		differ := (a.lit ^ b.lit) | (a.flashing ^ b.flashing)
		x, y := p.furtherWord(i), q.furtherWord(i)
		for plane := range x {
			differ |= x[plane] ^ y[plane]
		}
		mismatches += bits.OnesCount64(both & differ)
		counting += bits.OnesCount64(both)
	}
	return mismatches, counting
}

func (p packed) furtherWord(i int) furtherWord {
	if p.further == nil {
		return furtherWord{}
	}
	return p.further[i]
}

// ParseCode reads a code of the family: symbols separated by spaces, or
// undelimited where every symbol of the selector is one character. A symbol is
// taken in either case where only one matches. The error
// (CodeBadRequest, field code) names the place and the symbols there are.
func (f *Family) ParseCode(text string) ([]string, error) {
	code := strings.Fields(text)
	if len(code) == 1 && f.CodeLength > 1 && f.oneCharacterSymbols() {
		code = strings.Split(code[0], "")
	}
	for i, symbol := range code {
		code[i] = f.symbolMeant(symbol)
	}
	return code, f.CheckCode(code)
}

// symbolMeant returns the symbol of the selector that was typed: exactly, else
// without regard to case where only one matches, else as it was typed.
func (f *Family) symbolMeant(typed string) string {
	if at := pointNamed(typed, f.Selector); at >= 0 {
		return f.Selector[at]
	}
	return typed
}

func (f *Family) oneCharacterSymbols() bool {
	return !slices.ContainsFunc(f.Selector, func(s string) bool { return len([]rune(s)) != 1 })
}

// CheckCode returns what is wrong with a code of the family, nil where nothing is.
func (f *Family) CheckCode(code []string) error {
	if len(code) != f.CodeLength {
		return badCode("the code %q has %s, a code of family %s has %d",
			strings.Join(code, " "), countOf(len(code), "symbol"), f.Name, f.CodeLength)
	}
	for i, symbol := range code {
		if !slices.Contains(f.Selector, symbol) {
			return badCode("%q at place %d of the code is not on the selector%s", symbol, i+1, inBrackets(f.Selector))
		}
	}
	return nil
}

func badCode(format string, args ...any) error {
	return &Error{Code: CodeBadRequest, Field: "code", Message: fmt.Sprintf(format, args...)}
}
