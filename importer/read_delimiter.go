package importer

import (
	"strings"

	"standin/importer/table"
)

const linesCompared = 10 // rows after the header by which delimiters are compared

// delimiterOf returns the delimiter that yields most known columns in the header row;
// of equals the one with which more of the next rows have the number of cells of the
// header, then the one that yields more cells.
func delimiterOf(sample string, known func(string) bool) rune {
	best, bestScore := table.Delimiters[0], [3]int{}
	for _, d := range table.Delimiters {
		header, rest := splitRow(sample, d)
		score := [3]int{0, 0, len(header)}
		for _, cell := range header {
			if known(cell) {
				score[0]++
			}
		}
		for range linesCompared {
			var row []string
			if row, rest = splitRow(rest, d); len(row) == len(header) && len(row) > 1 {
				score[1]++
			}
		}
		if higher(score, bestScore) {
			best, bestScore = d, score
		}
	}
	return best
}

func higher(a, b [3]int) bool {
	for i := range a {
		if a[i] != b[i] {
			return a[i] > b[i]
		}
	}
	return false
}

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
