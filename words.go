package standin

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Sentence is the text with a capital at its beginning and a full stop at its end.
func Sentence(text string) string {
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

// evidenceNames are the names of the kinds of evidence for people.
var evidenceNames = map[string]string{
	EvidenceMade:     "the date of making",
	EvidenceSerial:   "the serial number",
	EvidencePlug:     "the plugs seen",
	EvidenceOldPart:  "the number on the old board",
	EvidencePosition: "which board is dead",
}

// EvidenceName returns what people call a kind of evidence, such as "the serial
// number" for EvidenceSerial.
func EvidenceName(kind string) string { return evidenceNames[kind] }

// AndList is "a", "a and b" or "a, b and c".
func AndList(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// Figure is a number without needless zeros, to two decimals at most.
func Figure(n float64) string {
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(n, 'f', 2, 64), "0"), ".")
}

// Phrase says a verdict across the counter.
func (v Verdict) Phrase() string {
	return [...]string{"fits", "check first", "depends on the build", "does not fit"}[v]
}

// BuildNames names builds by their labels: "build b1", "builds b1 and b2". One
// without a label is every build of its model.
func BuildNames(labels []string) string {
	switch {
	case len(labels) == 0:
		return "no build"
	case len(labels) > 1:
		return "builds " + AndList(labels)
	case labels[0] == "":
		return "every build"
	}
	return "build " + labels[0]
}

// Recorded are the words, none, or that nothing is recorded.
func Recorded(words Maybe[[]string]) string {
	w, ok := words.Get()
	switch {
	case !ok:
		return "not recorded"
	case len(w) == 0:
		return "none"
	}
	return strings.Join(w, ", ")
}

// whole is a whole number for people.
func whole(n int) string { return strconv.Itoa(n) }

// plain is a recorded number for people, as short as it was written.
func plain(x float64) string {
	if n := int(x); float64(n) == x { // most are whole, and those are quicker
		return strconv.Itoa(n)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// rounded is a computed number for people, to the given decimals.
func rounded(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

// digits is a computed number for people, to three digits, as a meter shows it.
func digits(x float64) string {
	if x == 0 {
		return "0"
	}
	magnitude := int(math.Floor(math.Log10(math.Abs(x))))
	if decimals := 2 - magnitude; decimals > 0 {
		return strconv.FormatFloat(x, 'f', min(decimals, 2), 64)
	}
	unit := math.Pow10(magnitude - 2)
	return strconv.FormatFloat(math.Round(x/unit)*unit, 'f', 0, 64)
}

// countOf is "1 point" or "3 points".
func countOf(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// inBrackets is " (a b c)", cut short where there are many; nothing for none.
func inBrackets(names []string) string {
	const most = 24
	switch {
	case len(names) == 0:
		return ""
	case len(names) > most:
		return fmt.Sprintf(" (%s … %s)", strings.Join(names[:most-1], " "), names[len(names)-1])
	}
	return " (" + strings.Join(names, " ") + ")"
}
