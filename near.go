package standin

import (
	"math/bits"
	"strings"
	"unicode"
)

// mistaken lists the characters that are mistaken for each other on labels and
// rating plates, each group beginning with the one that stands for all of it:
// 0 O and 1 I L by Unicode UTS #39 (confusables), the others by common practice.
var mistaken = [...]string{"0O", "1IL", "2Z", "5S", "8B"}

// FoldMistaken returns text in capitals, with characters that are mistaken for
// each other on labels and rating plates made one: O is 0, I and L are 1, Z is
// 2, S is 5 and B is 8. Spaces and punctuation stay.
func FoldMistaken(text string) string { return strings.Map(foldMistaken, text) }

func foldMistaken(r rune) rune {
	r = unicode.ToUpper(r)
	for _, group := range mistaken {
		if strings.ContainsRune(group, r) {
			return rune(group[0])
		}
	}
	return r
}

// How far a name may be from another and still be taken for it.
const (
	nearOneIn = 3 // characters, of which one may be wrong
	nearMost  = 2 // characters that may be wrong, however long the name
)

// longestName is in characters; longer text is not taken for a misspelt name.
const longestName = 64

// FoldedName is a name made ready to be compared with many others: letters and
// digits alone, folded by FoldMistaken.
type FoldedName struct {
	characters []rune
	occurring  uint64 // a bit for each character modulo 64, for a cheap lower bound of the distance
}

// FoldName folds a name.
func FoldName(name string) FoldedName {
	var f FoldedName
	for _, r := range name {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			r = foldMistaken(r)
			f.characters = append(f.characters, r)
			f.occurring |= 1 << (uint(r) % 64)
		}
	}
	return f
}

// Near returns how many characters must be inserted, removed, replaced or
// exchanged with their neighbour to make the one name of the other, and reports
// whether that is few enough to take f, the name as it was typed, for a
// misspelling: one in three of its characters, and two, at most.
func (f FoldedName) Near(other FoldedName) (distance int, near bool) {
	a, b := f.characters, other.characters
	limit := min(nearMost, len(a)/nearOneIn)
	if len(a) == 0 || len(a) > longestName || max(len(a)-len(b), len(b)-len(a)) > limit {
		return 0, false
	}
	if bits.OnesCount64(f.occurring^other.occurring) > 2*limit { // each change touches two characters at most
		return 0, false
	}
	distance = editDistance(a, b)
	return distance, distance <= limit
}

// NearestName returns the one of names that was probably meant by what was
// typed. It returns the empty string where none is near, and where two are
// equally near.
func NearestName(typed string, names []string) string {
	best, least, folded := "", nearMost+1, FoldName(typed)
	for _, name := range names {
		if name == typed {
			return name
		}
		distance, near := folded.Near(FoldName(name))
		switch {
		case !near || distance > least || name == best:
		case distance == least:
			best = ""
		default:
			best, least = name, distance
		}
	}
	return best
}

// editDistance is the fewest characters to insert, remove, replace or exchange
// with their neighbour, none of them touched twice (the restricted distance of
// Damerau and Levenshtein, also called optimal string alignment).
func editDistance(a, b []rune) int {
	beforeLast := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			replaced := last[j]
			if a[i] != b[j] {
				replaced++
			}
			row[j+1] = min(replaced, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], beforeLast[j-1]+1)
			}
		}
		beforeLast, last, row = last, row, beforeLast
	}
	return last[len(b)]
}
