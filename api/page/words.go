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

// sentence is the text with a capital at its beginning and a full stop at its end.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	if first := text[0]; first >= 'a' && first <= 'z' {
		text = string(first-'a'+'A') + text[1:]
	}
	if !strings.ContainsAny(text[len(text)-1:], ".!?:") {
		text += "."
	}
	return text
}

// buildName names a build; one without a label is every build of its model.
func buildName(label string) string {
	if label == "" {
		return "every build"
	}
	return "build " + label
}

// buildNames names several.
func buildNames(labels []string) string {
	switch len(labels) {
	case 0:
		return "no build"
	case 1:
		return buildName(labels[0])
	}
	return "builds " + and(labels)
}

// verdictWords say a verdict across the counter.
var verdictWords = [...]string{
	standin.Fits:    "fits",
	standin.Check:   "check first",
	standin.Depends: "depends on the build",
	standin.No:      "does not fit",
}

// evidenceWords name the pieces of evidence.
var evidenceWords = map[string]string{
	standin.EvidenceMade:    "the date of making",
	standin.EvidenceSerial:  "the serial number",
	standin.EvidencePlug:    "the plugs seen",
	standin.EvidenceOldPart: "the number on the old board",
}
