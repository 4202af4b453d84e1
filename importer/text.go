package importer

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	shownInMessage = 40  // characters of a value that a message quotes
	shownAsValue   = 200 // characters of a value that a finding keeps
)

// trim takes white space off both ends, with what spreadsheets and web pages
// leave there unseen: no-break and zero-width spaces, byte order marks.
func trim(text string) string { return strings.TrimFunc(text, unseen) }

func unseen(r rune) bool {
	switch r {
	case '\u200b', '\u200c', '\u200d', '\u2060', '\ufeff':
		return true
	}
	return unicode.IsSpace(r)
}

// quoted is a value as a message shows it: in quotation marks, not too long.
func quoted(text string) string { return strconv.Quote(cut(text, shownInMessage)) }

// cut is text of at most that many characters.
func cut(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most-1]) + "…"
}

// plain finds a character that has no business in a table: a control character
// or the mark of one that was lost in a conversion.
func plain(text string) *fault {
	for _, r := range text {
		switch {
		case r == '\n', r == '\t', r == '\r':
		case r == utf8.RuneError:
			return badValue("%s holds a character that was lost in a conversion (\ufffd); type the cell again", quoted(text))
		case unicode.IsControl(r):
			return badValue("%s holds a control character (U+%04X); type the cell again", quoted(text), r)
		}
	}
	return nil
}

// normal is a header or file name without regard to case, spaces and
// punctuation: "Part Number" and "PART-NUMBER" are part_number.
func normal(name string) string {
	words := strings.FieldsFunc(strings.ToLower(trim(name)), func(r rune) bool {
		return unseen(r) || r == '_' || r == '-' || r == '.'
	})
	return strings.Join(words, "_")
}

func listed(words []string) string { return strings.Join(words, ", ") }
