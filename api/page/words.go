package page

import (
	"strconv"

	"standin"
)

// count is "1 board" or "3 boards".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// evidenceWords name the pieces of evidence.
var evidenceWords = map[string]string{
	standin.EvidenceMade:     "the date of making",
	standin.EvidenceSerial:   "the serial number",
	standin.EvidencePlug:     "the plugs seen",
	standin.EvidenceOldPart:  "the number on the old board",
	standin.EvidencePosition: "which board is dead",
}
