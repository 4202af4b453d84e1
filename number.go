package standin

import "strings"

// IsGTIN reports whether text is a GTIN as a label has it: 8, 12, 13 or 14 digits
// with the right check digit.
func IsGTIN(text string) bool {
	return LooksLikeGTIN(text) && text[len(text)-1] == CheckDigit(text[:len(text)-1])
}

// LooksLikeGTIN reports whether text has as many digits as a GTIN, and nothing else.
func LooksLikeGTIN(text string) bool {
	if strings.Trim(text, "0123456789") != "" {
		return false
	}
	switch len(text) {
	case 8, 12, 13, 14:
		return true
	}
	return false
}

// CheckDigit is the digit that makes the weighted sum of a number a multiple of
// ten, the weights 3 and 1 in turn from the right (GS1 General Specifications
// 7.9.1). The number is digits alone, without its check digit.
func CheckDigit(digits string) byte {
	sum := 0
	for i := range len(digits) {
		weight := 3
		if (len(digits)-1-i)%2 == 1 {
			weight = 1
		}
		sum += weight * int(digits[i]-'0')
	}
	return byte('0' + (10-sum%10)%10)
}

// NumberKind is what a number that was typed is to a board.
type NumberKind string

// The kinds of number that lead to a board.
const (
	ByPartNumber NumberKind = "part number"
	ByMarking    NumberKind = "marking"
	ByGTIN       NumberKind = "GTIN"
)

// BoardMatch is a board, or an adaptor, that may be meant by a number that was
// typed.
type BoardMatch struct {
	PartNumber string
	Adaptor    bool // else a board
	Title      string
	Family     string     // empty: a fixed board
	By         NumberKind // what was recognised
	Number     string     // the part number, marking or GTIN that is like what was typed
	Exact      bool       // the same letters and digits; else it begins so
}
