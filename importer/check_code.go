package importer

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"standin"
	"standin/importer/table"
)

// parseCode reads a code: symbols separated by spaces, or undelimited where every
// symbol of the family is one character. Without a family, or without its selector,
// whatever needs that is not checked.
func parseCode(s *shape, text string) ([]string, []*table.Fault) {
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
		return nil, []*table.Fault{wrong}
	}
	for _, f := range faults {
		f.Correction = "" // it would still have the wrong length
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

// undivided reports whether symbols of several characters were written without the
// spaces between them.
func undivided(s *shape, code []string) bool {
	return len(code) == 1 && s.length.V > 1
}

func wrongCodeLength(s *shape, text string, code []string) *table.Fault {
	f := &table.Fault{Code: standin.WrongLength}
	switch {
	case s.length.V == 0:
		f.Message = fmt.Sprintf("the code %s must be left out: boards of this family take no code", table.Quoted(text))
	case undivided(s, code):
		f.Message = fmt.Sprintf("the code %s is one symbol, a code of this family has %d; write a space between symbols", table.Quoted(text), s.length.V)
	default:
		f.Message = fmt.Sprintf("the code %s has %s, a code of this family has %d", table.Quoted(text), table.Count(len(code), "symbol"), s.length.V)
	}
	return f
}

// unknownSymbols is a fault for each symbol that is not on the selector. The
// correction is of the whole code, where every one of them can be corrected.
func unknownSymbols(s *shape, text string, code []string) []*table.Fault {
	if s.selector == nil || !slices.ContainsFunc(code, s.lacks) {
		return nil
	}
	var faults []*table.Fault
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
			f.Correction = strings.Join(corrected, between)
		}
	}
	return faults
}

func (s *shape) lacks(symbol string) bool {
	_, on := s.on[symbol]
	return !on
}

const symbolsShown = 24 // symbols of a selector that a message lists

func unknownSymbol(s *shape, place int, symbol, like string) *table.Fault {
	message := fmt.Sprintf("%s at place %d of the code is not on the selector", table.Quoted(symbol), place)
	switch {
	case like != "":
		message += "; probably " + table.Quoted(like) + " is meant"
	case len(s.selector) <= symbolsShown:
		message += " (" + table.Cut(strings.Join(s.selector, " "), table.ShownAsValue) + ")"
	}
	return &table.Fault{Code: standin.UnknownSymbol, Message: message, Place: place}
}

// lookalike returns the only symbol that differs from text by case alone, else by
// mistaken characters alone, or "".
func lookalike(text string, symbols []string) string {
	for _, fold := range []func(string) string{strings.ToUpper, standin.FoldMistaken} {
		var like []string
		for _, s := range symbols {
			if fold(s) == fold(text) && !slices.Contains(like, s) {
				like = append(like, s)
			}
		}
		if len(like) == 1 {
			return like[0]
		}
	}
	return ""
}

// asPattern corrects characters that spreadsheets and people put for those of a
// pattern.
var asPattern = strings.NewReplacer(" ", "", "O", "0", "o", "0", "l", "1", "I", "1", "F", "f", "–", "-", "—", "-", "−", "-")

// parsePattern reads a pattern, one character per read-back point.
func parsePattern(s *shape, text string) (string, *table.Fault) {
	if s != nil && s.anything && len(strings.Trim(text, "-")) > 0 {
		return "", nil // what its points show is faulty, which is reported at the family
	}
	if s != nil && s.alphabet != nil {
		return s.patternOfSigns(text)
	}
	pattern := strings.ReplaceAll(text, "F", "f")
	if wrong := strings.Trim(pattern, "10f-"); wrong != "" {
		f := table.BadValue("the pattern %s holds %s; write %s, and nothing between",
			table.Quoted(text), table.Quoted(string([]rune(wrong)[:1])), standin.PatternForms)
		if fixed := asPattern.Replace(text); strings.Trim(fixed, "10f-") == "" && s.reads(len(fixed)) {
			f.Correction = fixed
		}
		return "", f
	}
	if s.reads(len(pattern)) {
		return pattern, nil
	}
	return "", s.wrongPatternLength(text, len(pattern), strings.Trim(pattern, "01") == "")
}

// wrongPatternLength returns the fault of a pattern with this many characters. A
// spreadsheet takes a pattern of digits for a number.
func (s *shape) wrongPatternLength(text string, characters int, digits bool) *table.Fault {
	f := &table.Fault{Code: standin.WrongLength}
	if s.readback.V == 0 {
		f.Message = fmt.Sprintf("the pattern %s must be left out: the family has no read-back points", table.Quoted(text))
		return f
	}
	f.Message = fmt.Sprintf("the pattern %s has %s, the family has %s", table.Quoted(text), table.Count(characters, "character"), table.Count(s.readback.V, "read-back point"))
	if characters < s.readback.V && digits {
		f.Message += "; a spreadsheet may have dropped zeros at its beginning"
	}
	return f
}

// patternOfSigns reads a pattern of a family whose points are not all lamps. Case
// does not count where the alphabet of a point has the character in one case only.
func (s *shape) patternOfSigns(text string) (string, *table.Fault) {
	shown := []rune(text)
	if !s.reads(len(shown)) {
		return "", s.wrongPatternLength(text, len(shown), table.AllDigits(text))
	}
	for i, r := range shown {
		like := likeOne(r, s.alphabet[i]+"-")
		if like == 0 {
			return "", table.BadValue("the pattern %s holds %s at read-back point %d, which shows one of %s, or - for either",
				table.Quoted(text), table.Quoted(string(r)), i+1, strings.Join(strings.Split(s.alphabet[i], ""), " "))
		}
		shown[i] = like
	}
	return string(shown), nil
}

// likeOne returns r where an alphabet has it, else r in the other case where the
// alphabet has that, or 0.
func likeOne(r rune, alphabet string) rune {
	for _, like := range []rune{r, unicode.ToLower(r), unicode.ToUpper(r)} {
		if strings.ContainsRune(alphabet, like) {
			return like
		}
	}
	return 0
}

// reads reports whether, as far as is known, the family has this many read-back
// points.
func (s *shape) reads(points int) bool {
	return s == nil || !s.readback.Known || points == s.readback.V
}

// shape is what a family requires of the codes and patterns of its configurations.
type shape struct {
	selector []string            // in dial order; nil: not recorded, or faulty
	length   standin.Maybe[int]  // symbols of a code; not known: faulty
	readback standin.Maybe[int]  // read-back points; not known: faulty
	alphabet []string            // what each read-back point may show; nil: lamps
	anything bool                // what they may show is faulty
	oneEach  bool                // every symbol is one character
	on       map[string]struct{} // the selector as a set
}

func newShape(selector []string, length, readback standin.Maybe[int]) *shape {
	s := &shape{selector: selector, length: length, readback: readback, on: map[string]struct{}{}}
	for _, symbol := range selector {
		s.on[symbol] = struct{}{}
	}
	s.oneEach = !slices.ContainsFunc(selector, func(symbol string) bool { return len([]rune(symbol)) != 1 })
	return s
}

// alphabetFor returns what each of so many points may show where the alphabet stays
// as it is. Where that has another number of points, which is the store's to report,
// anything is true.
func (s *shape) alphabetFor(points int) (alphabet []string, anything bool) {
	if s.alphabet == nil || len(s.alphabet) == points {
		return s.alphabet, s.anything
	}
	if one := s.alphabet[0]; !slices.ContainsFunc(s.alphabet, func(a string) bool { return a != one }) {
		return slices.Repeat([]string{one}, points), s.anything
	}
	return nil, true
}

// shapes are the families a bundle may refer to: those stored, and over them
// those of the bundle.
type shapes map[string]*shape

func storedShapes(families map[string]standin.Family) shapes {
	all := shapes{}
	for name, f := range families {
		all[name] = newShape(f.Selector, standin.Known(f.CodeLength), standin.Known(len(f.Readback)))
		all[name].alphabet = f.Alphabet
	}
	return all
}
