package standin

import (
	"strings"
	"testing"
)

func TestCheckPattern(t *testing.T) {
	t.Parallel()
	readback := []string{"K1", "K2", "K3"}
	tests := []struct {
		pattern Pattern
		want    string // part of the error; empty: none
	}{
		{"10f", ""},
		{"---", ""},
		{"", ""},
		{"10", "has 2 points, the family reads 3 (K1 K2 K3)"},
		{"10f-", "has 4 points"},
		{"1?0", `cannot hold '?'; write 1 lit, 0 unlit, f flashing, - either`},
		{"1F0", `cannot hold 'F'`},
	}
	for _, tt := range tests {
		checkError(t, string(tt.pattern), (&Family{Readback: readback}).CheckPattern(tt.pattern), tt.want)
	}
}

func TestDistance(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("10f-", 20) // 80 points, so two words
	tests := []struct {
		a, b Pattern
		want int
	}{
		{"10f", "10f", 0},
		{"10f", "010", 3},
		{"1f", "f1", 2},
		{"1-0", "0-1", 2},
		{"---", "101", 0}, // an either differs from nothing
		{"", "", 0},
		{Pattern(long), Pattern(long), 0},
		{Pattern(long), Pattern(strings.Repeat("-", 77) + "f0-"), 2},
	}
	for _, tt := range tests {
		if got := tt.a.DistanceTo(tt.b); got != tt.want {
			t.Errorf("%s to %s: distance %d, want %d", tt.a, tt.b, got, tt.want)
		}
		if got := tt.b.DistanceTo(tt.a); got != tt.want {
			t.Errorf("%s to %s: distance %d, want %d", tt.b, tt.a, got, tt.want)
		}
	}
}

// checkError reports an error that is not as wanted: part of its sentence, or
// none where want is empty.
func checkError(t *testing.T, about string, err error, want string) {
	t.Helper()
	switch {
	case want == "" && err != nil:
		t.Errorf("%q: error %q, want none", about, err)
	case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
		t.Errorf("%q: error %v, want one with %q", about, err, want)
	}
}

func TestShownWords(t *testing.T) {
	t.Parallel()
	for shows, want := range map[byte]string{'1': "lit", '0': "unlit", 'f': "flashing", '-': "either", '?': "not read"} {
		if got := ShownWord(shows); got != want {
			t.Errorf("%c is %s, want %s", shows, got, want)
		}
		if got, ok := PatternWord(strings.ToUpper(want)); ok != (shows != '?') || ok && got != shows {
			t.Errorf("%s is %c, %t; want %c", want, got, ok, shows)
		}
		if got, ok := ReadingWord(want); shows != '-' && shows != '?' && (!ok || got != shows) {
			t.Errorf("%s in a reading is %c, %t; want %c", want, got, ok, shows)
		}
	}
	if shows, ok := ReadingWord("dim"); ok {
		t.Errorf("dim is %c", shows)
	}
}
