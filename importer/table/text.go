package table

import (
	"fmt"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"standin"
)

// How much of a value is shown.
const (
	ShownInMessage = 40  // characters of a value that a message quotes
	ShownAsValue   = 200 // characters of a value that a finding keeps
)

// Trim takes white space off both ends, with what spreadsheets and web pages
// leave there unseen: no-break and zero-width spaces, byte order marks.
func Trim(text string) string { return strings.TrimFunc(text, Unseen) }

// Unseen reports whether a character takes space at most.
func Unseen(r rune) bool {
	switch r {
	case '\u200b', '\u200c', '\u200d', '\u2060', '\ufeff':
		return true
	}
	return unicode.IsSpace(r)
}

// Quoted is a value as a message shows it: in quotation marks, not too long.
func Quoted(text string) string { return strconv.Quote(Cut(text, ShownInMessage)) }

// Cut is text of at most that many characters.
func Cut(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most-1]) + "…"
}

// Plain finds a character that has no business in a table: a control character
// or the mark of one that was lost in a conversion.
func Plain(text string) *Fault {
	for _, r := range text {
		switch {
		case r == '\n', r == '\t', r == '\r':
		case r == utf8.RuneError:
			return BadValue("%s holds a character that was lost in a conversion (\ufffd); type the cell again", Quoted(text))
		case unicode.IsControl(r):
			return BadValue("%s holds a control character (U+%04X); type the cell again", Quoted(text), r)
		}
	}
	return nil
}

// Normal is a header or file name without regard to case, spaces and
// punctuation: "Part Number" and "PART-NUMBER" are part_number.
func Normal(name string) string {
	words := strings.FieldsFunc(strings.ToLower(Trim(name)), func(r rune) bool {
		return Unseen(r) || r == '_' || r == '-' || r == '.'
	})
	return strings.Join(words, "_")
}

var groupedPoint = regexp.MustCompile(`^[+-]?\d{1,3}(\.\d{3})+,\d+$`)

// PointsPartThousands reports whether text is a number whose points part
// thousands and whose comma parts the decimals, as 1.950,5.
func PointsPartThousands(text string) bool { return groupedPoint.MatchString(text) }

// List are words for a message, with commas between them.
func List(words []string) string { return strings.Join(words, ", ") }

// Count is "1 symbol" or "3 symbols".
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// Blank reports whether all cells are empty.
func Blank(cells []string) bool {
	for _, cell := range cells {
		if Trim(cell) != "" {
			return false
		}
	}
	return true
}

// AllDigits reports whether text has no other characters than 0 to 9.
func AllDigits(text string) bool { return strings.Trim(text, "0123456789") == "" }

// ISODate is a date as a bundle writes it, of a month where the day is empty.
func ISODate(year, month, day string) string {
	if day == "" {
		return year + "-" + TwoDigits(month)
	}
	return fmt.Sprintf("%s-%s-%s", year, TwoDigits(month), TwoDigits(day))
}

// TwoDigits are one or two digits with a leading zero where there is one.
func TwoDigits(digits string) string { return strings.Repeat("0", 2-len(digits)) + digits }

// ColumnNames are the names of the columns of a file.
func ColumnNames(file standin.File) []string {
	var names []string
	for _, c := range file.Columns {
		names = append(names, c.Name)
	}
	return names
}

// HasEnding reports whether a file name has that ending, in any case.
func HasEnding(name, ending string) bool { return strings.EqualFold(filepath.Ext(name), ending) }
