package api

// nearest is the accepted name that a misspelt one is at most two slips away
// from: a letter wrong, left out, added, or two neighbours exchanged. Empty
// where there is none.
func nearest(name string, accepted []string) string {
	best, fewest := "", 3
	for _, a := range accepted {
		if n := slips(name, a); n < fewest && n < len(a) {
			best, fewest = a, n
		}
	}
	return best
}

// slips is the edit distance in which an exchange of neighbours counts once
// (optimal string alignment).
func slips(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		before, last, row = last, row, before
		row[0] = i
		for j := 1; j <= len(b); j++ {
			wrong := 1
			if a[i-1] == b[j-1] {
				wrong = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+wrong)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
	}
	return row[len(b)]
}
