package standin

import (
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
