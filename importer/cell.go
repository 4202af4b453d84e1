package importer

import (
	"slices"
	"strings"
	"unicode/utf8"

	"standin"
	"standin/importer/table"
)

const none = "none"

// parseCell returns the value of a trimmed cell that is not empty, typed as the kind
// of its column. Codes and patterns stay text: they need the family of their row.
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

// longestKey is how many characters a cell of a key may have. Keys are indexed, and
// an entry of a PostgreSQL index has at most 2,700 bytes; a model's key has three
// cells.
const longestKey = 200

// shortEnough returns a fault for a key so long that it must be text in the wrong
// column.
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

// parseWords reads words separated by spaces, or "none" where the column can record
// that there are none.
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

// nearestWord returns the word that was misspelt, or the only one that begins with
// text, or "".
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
