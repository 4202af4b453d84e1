package page

import "strconv"

// count is "1 board" or "3 boards".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
