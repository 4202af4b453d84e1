package tell

import (
	"fmt"
	"strconv"
	"strings"

	"standin"
)

// board names a revision of a part.
func board(part, revision string) string {
	if revision == "" {
		return part
	}
	return part + " revision " + revision
}

// list is "a", "a and b" or "a, b and c".
func list(words []string, and string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " " + and + " " + words[n-1]
	}
}

// count is "1 board" or "3 boards".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// figure is a number without needless zeros, to at most so many decimals.
func figure(n float64, decimals int) string {
	s := strconv.FormatFloat(n, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// supply is "230 V 50 Hz", as far as it is recorded.
func supply(m *standin.Model) string {
	var parts []string
	if volts := standin.VoltsText(m.Volts); volts != "" {
		parts = append(parts, volts+nbsp+"V")
	}
	if hertz := standin.HertzText(m.Hertz); hertz != "" {
		parts = append(parts, hertz+nbsp+"Hz")
	}
	return strings.Join(parts, " ")
}

// stopped is the text with a full stop at its end.
func stopped(text string) string {
	if text == "" || strings.ContainsAny(text[len(text)-1:], ".!?:") {
		return text
	}
	return text + "."
}

// quoted is a value as it is typed in a shell: bare where it is one plain word.
func quoted(value string) string {
	plain := func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' ||
			strings.ContainsRune("-_./:,+@%", r))
	}
	if value != "" && !strings.ContainsFunc(value, plain) {
		return value
	}
	if !strings.ContainsAny(value, "\"$`\\!") {
		return `"` + value + `"`
	}
	return "'" + strings.ReplaceAll(value, "'", `'\''`) + "'"
}

// option is a flag with its value as it is typed, kept on one line.
func option(name, value string) string {
	return bound(fmt.Sprintf("--%s %s", name, quoted(value)))
}

// modelFlags are the flags that ask for a model.
func modelFlags(key standin.ModelKey) string {
	flags := option("brand", key.Brand) + " " + option("model", key.Model)
	if key.Variant != "" {
		flags += " " + option("variant", key.Variant)
	}
	return flags
}
