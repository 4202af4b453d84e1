package importer

import (
	"slices"
	"strings"

	"standin/importer/table"
)

const linesCompared = 20 // rows by which delimiters are compared

// delimiterOf returns the delimiter that yields most known columns in one of the first
// rows; of equals the one that parts more of the rows below the first, which may be a
// title, into the same number of cells, weighed by that number; then the one that yields
// more cells in the first row.
func delimiterOf(sample string, known func(string) bool) rune {
	best, bestScore := table.Delimiters[0], [3]int{}
	for _, d := range table.Delimiters {
		var score [3]int
		alike := map[int]int{} // rows, by how many cells they have
		for n, rest := 0, sample; n < linesCompared && rest != ""; n++ {
			var row []string
			row, rest = splitRow(rest, d)
			if n == 0 {
				score[2] = len(row)
			}
			count := 0
			for _, cell := range row {
				if known(cell) {
					count++
				}
			}
			score[0] = max(score[0], count)
			if n > 0 {
				alike[len(row)]++
				score[1] = max(score[1], alike[len(row)]*(len(row)-1))
			}
		}
		if higher(score, bestScore) {
			best, bestScore = d, score
		}
	}
	return best
}

func higher(a, b [3]int) bool { return slices.Compare(a[:], b[:]) > 0 }

// splitRow cuts the first row off text at every delimiter outside quotation
// marks, and returns what follows it.
func splitRow(text string, delimiter rune) (cells []string, rest string) {
	inQuotes, start := false, 0
	for i, r := range text {
		switch {
		case r == '"':
			inQuotes = !inQuotes
		case inQuotes:
		case r == delimiter:
			cells = append(cells, unquote(text[start:i]))
			start = i + 1
		case r == '\n':
			return append(cells, unquote(text[start:i])), text[i+1:]
		}
	}
	if start == len(text) && cells == nil {
		return nil, ""
	}
	return append(cells, unquote(text[start:])), ""
}

func unquote(cell string) string { return strings.Trim(table.Trim(cell), `"`) }

// declared returns the delimiter that a first line such as "sep=;" declares, as some
// spreadsheets write and read it, and the length of that line in bytes; 0 and 0
// without one.
func declared(sample string) (delimiter rune, length int) {
	line, _, found := strings.Cut(sample, "\n")
	if !found || len(line) > len("sep=;\r") {
		return 0, 0
	}
	for _, d := range table.Delimiters {
		if strings.TrimSuffix(line, "\r") == "sep="+string(d) {
			return d, len(line) + 1
		}
	}
	return 0, 0
}
