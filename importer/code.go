package importer

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

// parseCode reads a code: symbols with spaces between them, undelimited where
// every symbol of the family is one character. Without a family, or without its
// selector, nothing is checked that needs it.
func parseCode(s *shape, text string) ([]string, []*fault) {
	code := split(s, text)
	if s == nil {
		return code, nil
	}
	faults := unknownSymbols(s, text, code)
	if !s.length.Known || len(code) == s.length.V {
		return code, faults
	}
	wrong := wrongCodeLength(s, text, code)
	if s.length.V == 0 || undivided(s, code) {
		return nil, []*fault{wrong}
	}
	for _, f := range faults {
		f.correction = "" // it would still have the wrong length
	}
	return nil, append(faults, wrong)
}

func split(s *shape, text string) []string {
	code := strings.Fields(text)
	if len(code) != 1 {
		return code
	}
	characters := strings.Split(code[0], "")
	switch {
	case s == nil:
		return characters
	case s.length.Known && s.length.V < 2 || !s.oneEach:
		return code
	case s.selector == nil && s.length.Known && s.length.V != len(characters):
		return code
	}
	return characters
}

// undivided tells whether symbols of several characters were written without
// the spaces that would tell them apart.
func undivided(s *shape, code []string) bool {
	return len(code) == 1 && s.length.V > 1
}

func wrongCodeLength(s *shape, text string, code []string) *fault {
	f := &fault{code: standin.WrongLength}
	switch {
	case s.length.V == 0:
		f.message = fmt.Sprintf("the code %s must be left out: boards of this family take no code", quoted(text))
	case undivided(s, code):
		f.message = fmt.Sprintf("the code %s is one symbol, a code of this family has %d; write a space between symbols", quoted(text), s.length.V)
	default:
		f.message = fmt.Sprintf("the code %s has %s, a code of this family has %d", quoted(text), count(len(code), "symbol"), s.length.V)
	}
	return f
}

// unknownSymbols is a fault for each symbol that is not on the selector. The
// correction is of the whole code, where every one of them can be corrected.
func unknownSymbols(s *shape, text string, code []string) []*fault {
	if s.selector == nil || !slices.ContainsFunc(code, s.lacks) {
		return nil
	}
	var faults []*fault
	corrected, all := make([]string, len(code)), true
	seen := map[string]bool{}
	for i, symbol := range code {
		corrected[i] = symbol
		if !s.lacks(symbol) {
			continue
		}
		like := lookalike(symbol, s.selector)
		corrected[i], all = like, all && like != ""
		if !seen[symbol] {
			faults = append(faults, unknownSymbol(s, i+1, symbol, like))
		}
		seen[symbol] = true
	}
	if all {
		between := ""
		if strings.ContainsAny(text, " \t") || len(code) == 1 {
			between = " "
		}
		for _, f := range faults {
			f.correction = strings.Join(corrected, between)
		}
	}
	return faults
}

func (s *shape) lacks(symbol string) bool {
	_, on := s.on[symbol]
	return !on
}

const symbolsShown = 24 // symbols of a selector that a message lists

func unknownSymbol(s *shape, place int, symbol, like string) *fault {
	message := fmt.Sprintf("%s at place %d of the code is not on the selector", quoted(symbol), place)
	switch {
	case like != "":
		message += "; probably " + quoted(like) + " is meant"
	case len(s.selector) <= symbolsShown:
		message += " (" + cut(strings.Join(s.selector, " "), shownAsValue) + ")"
	}
	return &fault{code: standin.UnknownSymbol, message: message, place: place}
}

// asPattern corrects what spreadsheets and people make of the characters of a pattern.
var asPattern = strings.NewReplacer(" ", "", "O", "0", "o", "0", "l", "1", "I", "1", "F", "f", "–", "-", "—", "-", "−", "-")

// parsePattern reads a pattern, one character a read-back point.
func parsePattern(s *shape, text string) (string, *fault) {
	pattern := strings.ReplaceAll(text, "F", "f")
	if wrong := strings.Trim(pattern, "10f-"); wrong != "" {
		f := badValue("the pattern %s holds %s; write 1 lit, 0 unlit, f flashing, - either, and nothing between",
			quoted(text), quoted(string([]rune(wrong)[:1])))
		if fixed := asPattern.Replace(text); strings.Trim(fixed, "10f-") == "" && s.reads(len(fixed)) {
			f.correction = fixed
		}
		return "", f
	}
	if s.reads(len(pattern)) {
		return pattern, nil
	}
	f := &fault{code: standin.WrongLength}
	if s.readback.V == 0 {
		f.message = fmt.Sprintf("the pattern %s must be left out: the family has no read-back points", quoted(text))
		return "", f
	}
	f.message = fmt.Sprintf("the pattern %s has %s, the family has %s", quoted(text), count(len(pattern), "character"), count(s.readback.V, "read-back point"))
	if len(pattern) < s.readback.V && strings.Trim(pattern, "01") == "" {
		f.message += "; a spreadsheet may have dropped zeros at its beginning"
	}
	return "", f
}

// reads tells whether, as far as is known, the family has so many read-back points.
func (s *shape) reads(points int) bool {
	return s == nil || !s.readback.Known || points == s.readback.V
}

// count is "1 symbol" or "3 symbols".
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
