package importer

import (
	"slices"
	"strings"
	"unicode/utf8"

	"standin"
	"standin/importer/table"
)

const none = "none"

// parseCell is what a trimmed cell that is not empty says, typed as the kind of
// its column. Codes and patterns stay text: they need the family of their row.
func parseCell(c standin.Column, text string) (any, *table.Fault) {
	if f := table.Plain(text); f != nil {
		return nil, f
	}
	if f := shortEnough(c, text); f != nil {
		return nil, f
	}
	switch c.Kind {
	case standin.Integer:
		return orFault(parseInteger(c, text))
	case standin.Number:
		return orFault(parseNumber(c, text))
	case standin.Numbers:
		return orFault(parseNumbers(c, text))
	case standin.FromDate, standin.ToDate:
		return orFault(parseDate(c.Kind, text))
	case standin.VoltsCell:
		return orFault(parseVolts(text))
	case standin.Words:
		return orFault(parseWords(c, text))
	case standin.Enum:
		return orFault(parseEnum(c, text))
	case standin.Regexp:
		return orFault(parseSerialRule(text))
	case standin.GTIN:
		return orFault(parseGTIN(text))
	}
	return text, nil
}

// longestKey is how many characters a cell of a key may have. Rows are found by
// their keys, and what they are found by must stay small: an entry of an index of
// PostgreSQL has 2,700 bytes at most, and a model's key is of three cells.
const longestKey = 200

// shortEnough refuses a key that is a text in the wrong column.
func shortEnough(c standin.Column, text string) *table.Fault {
	if !c.Key || len(text) <= longestKey || utf8.RuneCountInString(text) <= longestKey {
		return nil
	}
	return table.BadValue("%s has %d characters; a %s has at most %d", table.Quoted(text), utf8.RuneCountInString(text), c.Name, longestKey)
}

// orFault keeps a zero value from being taken for a recorded one.
func orFault[T any](v T, f *table.Fault) (any, *table.Fault) {
	if f != nil {
		return nil, f
	}
	return v, nil
}

// parseWords reads words with spaces between them, "none" where it is a record
// of there being none.
func parseWords(c standin.Column, text string) ([]string, *table.Fault) {
	words := strings.Fields(text)
	if !c.None || !slices.ContainsFunc(words, isNone) {
		return words, nil
	}
	if len(words) > 1 {
		return nil, table.BadValue("%s has %q among others; write it alone, or leave it out", table.Quoted(text), none)
	}
	return []string{}, nil
}

func isNone(word string) bool { return strings.EqualFold(word, none) }

// parseEnum reads one of a few words, in any case.
func parseEnum(c standin.Column, text string) (string, *table.Fault) {
	for _, word := range c.Accepts {
		if strings.EqualFold(word, text) {
			return word, nil
		}
	}
	f := table.BadValue("%s is not one of %s", table.Quoted(text), table.List(c.Accepts))
	return "", f.Correct(nearestWord(text, c.Accepts))
}

// nearestWord is the word that was misspelt, or the only one that text is the
// beginning of.
func nearestWord(text string, words []string) string {
	if word := standin.NearestName(strings.ReplaceAll(table.Normal(text), "_", "-"), words); word != "" {
		return word
	}
	var begun []string
	for _, word := range words {
		if strings.HasPrefix(word, strings.ToLower(text)) {
			begun = append(begun, word)
		}
	}
	if len(begun) == 1 {
		return begun[0]
	}
	return ""
}

// parseSerialRule accepts an expression from which a year can be read.
func parseSerialRule(text string) (string, *table.Fault) {
	if _, err := standin.NewSerialRule("", text, standin.Maybe[int]{}); err != nil {
		return "", table.BadValue("%s", err)
	}
	return text, nil
}
