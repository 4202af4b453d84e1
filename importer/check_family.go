package importer

import (
	"fmt"
	"strings"

	"standin"
	"standin/importer/table"
)

// controlIsEmpty clears a position that names the control: it is recorded as empty,
// and two names for one board would be two boards.
func controlIsEmpty(position int) rule {
	return func(r *row) {
		if text, _ := r.cells[position].(string); strings.EqualFold(text, "control") {
			r.cells[position] = nil
		}
	}
}

// alphabetOfPoints is the rule that there is one alphabet for all read-back points,
// or one per point.
func alphabetOfPoints(alphabet, readback int) rule {
	return func(r *row) {
		words, _ := r.cells[alphabet].([]string)
		if len(words) == 0 {
			return
		}
		for i, word := range words {
			words[i] = strings.ToLower(word)
			if _, err := standin.ParseAlphabet(word, 1); err != nil {
				r.fault(alphabet, table.BadValue("%s", err).Correct(correctedWord(words, i)))
				return
			}
		}
		points, _ := r.cells[readback].([]string)
		if r.faulty[readback] || r.absent[readback] || len(points) > 0 && (len(words) == 1 || len(words) == len(points)) {
			return
		}
		r.fault(alphabet, &table.Fault{Code: standin.WrongLength, Message: fmt.Sprintf(
			"%s for %s; write one for all, or one a point", table.Count(len(words), "alphabet"), table.Count(len(points), "read-back point"))})
	}
}

// correctedWord returns the cell with one of its words as it was probably meant, ""
// where that is not certain.
func correctedWord(words []string, at int) string {
	meant := nearestWord(words[at], []string{"lamp", "digit", "sign"})
	if meant == "" {
		return ""
	}
	fixed := append([]string{}, words...)
	fixed[at] = meant
	return strings.Join(fixed, " ")
}

// panelOfPoints is the rule that a panel has read-back points only, each once. The
// sign between rows becomes a word of its own.
func panelOfPoints(panel, readback int) rule {
	return func(r *row) {
		words, _ := r.cells[panel].([]string)
		if len(words) == 0 || r.faulty[readback] {
			return
		}
		points, _ := r.cells[readback].([]string)
		text := strings.Join(words, " ")
		if r.absent[readback] {
			points = strings.Fields(strings.ReplaceAll(text, "/", " "))
		}
		if _, err := standin.ParsePanel(text, points); err != nil {
			r.fault(panel, table.BadValue("%s", err))
			return
		}
		r.cells[panel] = strings.Fields(strings.ReplaceAll(text, "/", " / "))
	}
}
