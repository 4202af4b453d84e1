package standin

import "strconv"

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

// exceeds tells whether x is greater than limit. Both come from decimals, so a
// difference below one part in 10^12 is one of representation, not of values.
func exceeds(x, limit float64) bool { return x > limit*(1+1e-12) }
