package locale

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// hasLetter reports whether there is anything to translate.
func hasLetter(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' })
}

// lowered is a text that begins as a sentence does, as it stands within one.
func lowered(text string) (string, bool) {
	if len(text) < 2 || text[0] < 'A' || text[0] > 'Z' || text[1] != ' ' && (text[1] < 'a' || text[1] > 'z') {
		return text, false
	}
	return string(text[0]-'A'+'a') + text[1:], true
}

func capitalised(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

func withStop(text string) string {
	if strings.HasSuffix(text, ".") {
		return text
	}
	return text + "."
}
