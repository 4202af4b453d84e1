package importer

import (
	"strings"

	"standin"
	"standin/importer/table"
)

// parseGTIN accepts 8, 12, 13 or 14 digits with the right check digit.
func parseGTIN(text string) (string, *table.Fault) {
	digits := strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' || r == '\u00a0' {
			return -1
		}
		return r
	}, text)
	if digits == "" || strings.Trim(digits, "0123456789") != "" {
		return "", table.BadValue("%s is not a GTIN; write its 8, 12, 13 or 14 digits", table.Quoted(text))
	}
	switch len(digits) {
	case 8, 12, 13, 14:
	default:
		f := table.BadValue("%s has %d digits, a GTIN 8, 12, 13 or 14; a spreadsheet may have dropped zeros at its beginning", table.Quoted(text), len(digits))
		return "", f.Correct(zerosRestored(digits))
	}
	last := len(digits) - 1
	if want := standin.CheckDigit(digits[:last]); digits[last] != want {
		said := ""
		if meant := neighboursExchanged(digits); meant != "" {
			said = "; with two neighbours exchanged it would be right: " + meant
		}
		return "", table.BadValue("%s has the check digit %c, but its other digits give %c%s; one of them is wrong", table.Quoted(text), digits[last], want, said)
	}
	if digits != text {
		return "", table.BadValue("%s has spaces or hyphens; write the digits alone", table.Quoted(text)).Correct(digits)
	}
	return text, nil
}

// zerosRestored returns the GTIN-8 or GTIN-12 that lost zeros at its beginning, ""
// where the check digit does not agree.
func zerosRestored(digits string) string {
	for _, length := range []int{8, 12} {
		if missing := length - len(digits); 0 < missing && missing <= 2 && standin.CheckDigit(digits[:len(digits)-1]) == digits[len(digits)-1] {
			return strings.Repeat("0", missing) + digits
		}
	}
	return ""
}

// neighboursExchanged returns the GTIN that results where two neighbours are
// exchanged, "" where that repairs it in no way, or in several. It is no correction:
// one wrong digit is more common, and any of them may be it.
func neighboursExchanged(digits string) string {
	meant := ""
	for i := range len(digits) - 1 {
		exchanged := digits[:i] + digits[i+1:i+2] + digits[i:i+1] + digits[i+2:]
		last := len(exchanged) - 1
		if exchanged == digits || standin.CheckDigit(exchanged[:last]) != exchanged[last] {
			continue
		}
		if meant != "" {
			return ""
		}
		meant = exchanged
	}
	return meant
}
