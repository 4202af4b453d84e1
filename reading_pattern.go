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

// PatternForms says what a pattern may hold, for messages and forms.
const PatternForms = "1 lit, 0 unlit, f flashing, - either"

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

// CheckPattern returns what is wrong with a pattern of a family with these
// read-back points, nil where nothing is. An empty pattern is one that is not
// recorded, and right.
func CheckPattern(p Pattern, readback []string) error {
	for _, c := range p {
		if !strings.ContainsRune("10f-", c) {
			return fmt.Errorf("a pattern cannot hold %q; write %s", c, PatternForms)
		}
	}
	if p != "" && len(p) != len(readback) {
		return fmt.Errorf("the pattern %s has %s, the family reads %d%s",
			p, countOf(len(p), "point"), len(readback), inBrackets(readback))
	}
	return nil
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
// word. A point that says nothing has its bit in no mask but the length's.
type packed []packedWord

type packedWord struct{ says, lit, flashing uint64 }

func packPattern(p Pattern) packed { return pack(string(p)) }

func pack(shows string) packed {
	words := make(packed, (len(shows)+63)/64)
	for i := range len(shows) {
		w, bit := &words[i/64], uint64(1)<<(i%64)
		switch shows[i] {
		case ShowsLit:
			w.lit |= bit
		case ShowsFlashing:
			w.flashing |= bit
		case ShowsUnlit:
		default:
			continue
		}
		w.says |= bit
	}
	return words
}

// compare counts the points at which both say something, and those of them at
// which they differ. Both have the same number of points.
func (p packed) compare(q packed) (mismatches, counting int) {
	for i := range p {
		m, c := p[i].compare(&q[i])
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

// ParseCode reads a code of the family: symbols separated by spaces, or
// undelimited where every symbol of the selector is one character. The error
// (CodeBadRequest, field code) names the place and the symbols there are.
func (f *Family) ParseCode(text string) ([]string, error) {
	code := strings.Fields(text)
	if len(code) == 1 && f.CodeLength > 1 && f.oneCharacterSymbols() {
		code = strings.Split(code[0], "")
	}
	return code, f.CheckCode(code)
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
