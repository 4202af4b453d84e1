package tell

import (
	"strings"
	"unicode"

	eastasian "golang.org/x/text/width"
)

// wrap breaks text at spaces into lines of at most so many columns. A word too
// long for a line is cut.
func wrap(text string, columns int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(text, " ") {
		if line != "" && width(line)+1+width(word) > columns {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
		for width(line) > columns {
			head, tail := cut(line, columns)
			lines = append(lines, head)
			line = tail
		}
	}
	return append(lines, line)
}

// cut parts text where it would pass the column; the head has at least a rune.
func cut(text string, column int) (head, tail string) {
	at := 0
	for i, r := range text {
		at += runeWidth(r)
		if at > column && i > 0 {
			return text[:i], text[i:]
		}
	}
	return text, ""
}

// width is the number of columns that text takes on a terminal.
func width(text string) int {
	n := 0
	for _, r := range text {
		n += runeWidth(r)
	}
	return n
}

// runeWidth is 2 for the wide characters of East Asian scripts, 0 for marks
// that stand on the character before, else 1.
func runeWidth(r rune) int {
	if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
		return 0
	}
	switch eastasian.LookupRune(r).Kind() {
	case eastasian.EastAsianWide, eastasian.EastAsianFullwidth:
		return 2
	}
	return 1
}

// clean is the text with every line break, tab and control character a space,
// and bytes that are no text shown as such.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
}
