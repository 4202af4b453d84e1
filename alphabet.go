package standin

import (
	"fmt"
	"slices"
	"strings"
)

// The characters of the alphabets that a bundle names.
const (
	lampCharacters  = "10f"
	digitCharacters = "0123456789"
	signCharacters  = digitCharacters + "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
)

// colours are those a read-back point may show beside being unlit. No two begin
// alike, and none with a letter that is taken for a digit.
var colours = []string{"red", "green", "blue", "yellow", "amber", "white"}

// ParseAlphabet reads what the read-back points of a family may show: a word for
// all of them or one a point, each lamp (1 0 f), digit (0 to 9), sign (0 to 9, A to
// Z) or colours joined by hyphens, as red-green (r g, 0 for unlit). It returns the
// characters of each point, nil where all are lamps.
func ParseAlphabet(cell string, points int) ([]string, error) {
	words := strings.Fields(cell)
	if len(words) > 1 && len(words) != points {
		return nil, fmt.Errorf("%q names %d alphabets for %d read-back points; write one for all or one a point", cell, len(words), points)
	}
	all := make([]string, 0, points)
	lamps := true
	for _, word := range words {
		characters, err := charactersOf(strings.ToLower(word))
		if err != nil {
			return nil, err
		}
		all, lamps = append(all, characters), lamps && characters == lampCharacters
	}
	if lamps {
		return nil, nil
	}
	for len(all) < points {
		all = append(all, all[0])
	}
	return all[:points], nil
}

func charactersOf(word string) (string, error) {
	switch word {
	case "lamp":
		return lampCharacters, nil
	case "digit":
		return digitCharacters, nil
	case "sign":
		return signCharacters, nil
	}
	shown := "0"
	for colour := range strings.SplitSeq(word, "-") {
		if !slices.Contains(colours, colour) || strings.Contains(shown, colour[:1]) {
			return "", fmt.Errorf("%q is not what a read-back point shows; write lamp, digit, sign, or colours joined by hyphens, each once (%s), as red-green",
				word, strings.Join(colours, " "))
		}
		shown += colour[:1]
	}
	return shown, nil
}

// ParsePanel reads the read-back points of a family as they lie on the panel: in
// rows, with / between them, each point once at most. Empty text is not recorded.
func ParsePanel(cell string, readback []string) ([][]string, error) {
	if strings.TrimSpace(cell) == "" {
		return nil, nil
	}
	var panel [][]string
	seen := map[string]bool{}
	for text := range strings.SplitSeq(cell, "/") {
		row := strings.Fields(text)
		for _, point := range row {
			if !slices.Contains(readback, point) {
				return nil, fmt.Errorf("%q is not a read-back point of the family (%s)", point, strings.Join(readback, " "))
			}
			if seen[point] {
				return nil, fmt.Errorf("the read-back point %q is on the panel twice; name each once", point)
			}
			seen[point] = true
		}
		if len(row) == 0 {
			return nil, fmt.Errorf("%q has a row without a read-back point; write rows as P1 P2 / P3 P4", cell)
		}
		panel = append(panel, row)
	}
	return panel, nil
}
