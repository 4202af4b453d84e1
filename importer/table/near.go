package table

import (
	"slices"
	"strings"
	"unicode"
)

const longestNamed = 64 // bytes; longer text is not taken for a misspelt name

// Nearest is the one of the names that was probably meant, empty where none is
// near or several are as near: at most a third of the letters may be wrong.
func Nearest(text string, names []string) string {
	if text == "" || len(text) > longestNamed {
		return ""
	}
	text = strings.ToLower(text)
	best, at := "", max(1, len(text)/3)+1
	for _, name := range names {
		switch d := distance(text, strings.ToLower(name)); {
		case d < at:
			best, at = name, d
		case d == at:
			best = ""
		}
	}
	return best
}

// distance is how many letters must be inserted, removed, changed or exchanged
// with their neighbour.
func distance(a, b string) int {
	var older []int
	last := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range len(a) {
		row := []int{i + 1}
		for j := range len(b) {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				change = min(change, older[j-1]+1)
			}
			row = append(row, min(change, last[j+1]+1, row[j]+1))
		}
		older, last = last, row
	}
	return last[len(b)]
}

// mistaken folds the characters that are taken for each other on labels and
// plates: 0 O and 1 l I (Unicode UTS #39), 2 Z, 5 S, 8 B (common practice), and
// case.
func mistaken(text string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case 'O', 'o':
			return '0'
		case 'I', 'i', 'l':
			return '1'
		case 'Z', 'z':
			return '2'
		case 'S', 's':
			return '5'
		case 'B', 'b':
			return '8'
		}
		return unicode.ToUpper(r)
	}, text)
}

// Lookalike is the only one of the symbols that differs from text by case
// alone, else by mistaken characters alone.
func Lookalike(text string, symbols []string) string {
	for _, fold := range []func(string) string{strings.ToUpper, mistaken} {
		var like []string
		for _, s := range symbols {
			if fold(s) == fold(text) && !slices.Contains(like, s) {
				like = append(like, s)
			}
		}
		if len(like) == 1 {
			return like[0]
		}
	}
	return ""
}
