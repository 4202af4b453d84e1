package page

import (
	"strconv"
	"strings"

	"standin"
)

// and is "a", "a and b" or "a, b and c".
func and(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// count is "1 board" or "3 boards".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// figure is a number without needless zeros, to two decimals at most.
func figure(n float64) string {
	s := strconv.FormatFloat(n, 'f', 2, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// evidenceWords name the pieces of evidence.
var evidenceWords = map[string]string{
	standin.EvidenceMade:    "the date of making",
	standin.EvidenceSerial:  "the serial number",
	standin.EvidencePlug:    "the plugs seen",
	standin.EvidenceOldPart: "the number on the old board",
}
