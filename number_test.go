package standin

import "testing"

// The numbers are examples of the GS1 General Specifications 7.9.1 and of GS1's
// pages on check digits; 9638507 is from memory.
func TestIsGTIN(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		"6291041500213": true, "7300011000017": true, "8904000210037": true, "036000241457": true, "40987650000223": true, "96385074": true,
		"6291041500214":      false, // another check digit
		"6291041500231":      false, // neighbours exchanged
		"629104150021":       false, // a digit left out
		"376104250021234569": false, // an SSCC: right, but no GTIN
		"629104150021X":      false,
		"":                   false,
	} {
		if got := IsGTIN(text); got != want {
			t.Errorf("IsGTIN(%q) = %v", text, got)
		}
	}
}
