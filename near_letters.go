package standin

import (
	"strings"
	"unicode"
)

// latinOf are the letters of other alphabets that look like a Latin one in most
// typefaces (Unicode UTS #39, confusables), with that letter.
var latinOf = map[rune]rune{
	'А': 'A', 'В': 'B', 'С': 'C', 'Е': 'E', 'Н': 'H', 'І': 'I', 'Ј': 'J', 'К': 'K', 'М': 'M', 'О': 'O', 'Р': 'P', 'Ѕ': 'S', 'Т': 'T', 'Х': 'X', 'У': 'Y',
	'а': 'a', 'с': 'c', 'е': 'e', 'һ': 'h', 'і': 'i', 'ј': 'j', 'о': 'o', 'р': 'p', 'ѕ': 's', 'х': 'x', 'у': 'y',
	'Α': 'A', 'Β': 'B', 'Ε': 'E', 'Ζ': 'Z', 'Η': 'H', 'Ι': 'I', 'Κ': 'K', 'Μ': 'M', 'Ν': 'N', 'Ο': 'O', 'Ρ': 'P', 'Τ': 'T', 'Υ': 'Y', 'Χ': 'X', 'ο': 'o', 'ν': 'v',
}

// shortWord is how many letters a word may have that is taken for a Latin one even
// where all of its letters are of another alphabet.
const shortWord = 2

// InLatin returns a word with every letter that looks like a Latin one made that. A
// longer word that has neither a Latin letter nor a digit, and one with a letter that
// looks like no Latin one, are of another alphabet as a whole and returned as they are.
func InLatin(word string) string {
	if isASCII(word) {
		return word
	}
	hasLatin, letters := false, 0
	isOther := false
	latin := strings.Map(func(r rune) rune {
		letters++
		to, looks := latinOf[r]
		switch {
		case looks:
			return to
		case unicode.Is(unicode.Latin, r) || unicode.IsDigit(r):
			hasLatin = true
		case unicode.IsLetter(r):
			isOther = true
		}
		return r
	}, word)
	if isOther || !hasLatin && letters > shortWord {
		return word
	}
	return latin
}

func isASCII(text string) bool {
	for i := range len(text) {
		if text[i] >= 0x80 {
			return false
		}
	}
	return true
}
