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

// holdsSentences reports whether a text goes beyond the end of a sentence or a clause.
func holdsSentences(text string) bool {
	for _, end := range []string{"; ", ". ", "? ", ": "} {
		if strings.Contains(text, end) {
			return true
		}
	}
	return false
}

// clauseWords are words of sentences, which names and labels have not.
var clauseWords = map[string]bool{
	"is": true, "are": true, "was": true, "has": true, "have": true, "may": true, "must": true, "not": true, "no": true, "the": true,
	"that": true, "it": true, "this": true, "draws": true, "goes": true, "takes": true, "carries": true, "fits": true, "depends": true,
	"shows": true, "recorded": true, "then": true, "all": true, "with": true, "every": true, "without": true, "which": true,
}

// isName reports whether a text may be a name, and is no part of a sentence: else a
// sentence without a form of its own would be taken for another's, and come out half
// in one language and half in the other.
func isName(text string) bool {
	if holdsSentences(text + " ") { // at its end too
		return false
	}
	for word := range strings.FieldsSeq(text) {
		if clauseWords[strings.ToLower(strings.Trim(word, ",.()"))] {
			return false
		}
	}
	return true
}
