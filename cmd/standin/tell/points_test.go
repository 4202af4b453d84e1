package tell

import (
	"strings"
	"testing"

	"standin"
)

// A digit is told as it is shown and a colour by its name: neither is taken for a
// lamp that is lit, unlit or not read.
func TestPointsThatAreNoLamps(t *testing.T) {
	t.Parallel()
	f := &standin.Family{Readback: []string{"D1", "D2", "Lock", "Front", "Rear"}}
	var err error
	if f.Alphabet, err = standin.ParseAlphabet("digit digit lamp red-green red-green", 5); err != nil {
		t.Fatal(err)
	}
	for shows, want := range map[string]string{
		"101g0": "D1 shows 1, D2 shows 0, Lock lit, Front green, Rear unlit",
		"?7fr-": "D1 not read, D2 shows 7, Lock flashing, Front red, Rear either",
	} {
		if got := strings.Join(pointWords(shows, f, "not read"), ", "); got != want {
			t.Errorf("%s: %s\nwant %s", shows, got, want)
		}
	}
	f.Readback, f.Alphabet = []string{"D1"}, []string{"0123456789"}
	f.Selector, f.CodeLength = strings.Split("ABCD", ""), 1
	var rows []standin.Configuration
	for i := range 12 {
		rows = append(rows, standin.Configuration{Code: []string{f.Selector[i%4]}, Pattern: standin.Pattern("2719"[i%4])})
	}
	points := standin.NewTable(f, rows).CodeMap().Points
	if got, want := inWords(&points[0]), "shows 1 for C; shows 2 for A; shows 7 for B; shows 9 for D"; got != want {
		t.Errorf("the code map says %q, want %q", got, want)
	}
}
