package standin

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// The pairs 0 O and 1 l I are confusable by Unicode UTS #39; the others are
// common practice [P].
func TestFoldMistaken(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"":             "",
		"WM-1O0":       "WM-100",
		"oO0 iIlL1":    "000 11111",
		"zZ2 sS5 bB8":  "222 555 888",
		"acdefghjkmnp": "ACDEFGHJKMNP",
		"qrtuvwxy":     "QRTUVWXY",
		"3 4 6 7 9":    "3 4 6 7 9",
		"größe":        "GRÖßE", // no single capital
		"№ 5":          "№ 5",
	} {
		if got := FoldMistaken(text); got != want {
			t.Errorf("FoldMistaken(%q) = %q, want %q", text, got, want)
		}
	}
}

func TestNearestName(t *testing.T) {
	t.Parallel()
	tests := []struct{ typed, names, want string }{
		{"WM-1O0", "WM-100 WM-200", "WM-100"},
		{"wm 100", "WM-100 WM-101", "WM-100"}, // nothing but how it is written
		{"WL-100", "WI-100", "WI-100"},
		{"WM-1000", "WM-1001 WM-1011", "WM-1001"}, // the nearer
		{"WM-1005", "WM-1001 WM-1002", ""},        // two equally near
		{"WM-1005", "WM-1001 WM-1001", "WM-1001"}, // the same twice
		{"part_nubmer", "part_number pitch", "part_number"},
		{"part_nubmre", "part_number", "part_number"}, // two exchanges
		{"cat", "act", "act"},
		{"cat", "bat hat", ""},
		{"WM-10", "WM-10345", ""}, // too far
		{"b2", "b1", ""},          // too short to tell
		{"b-2", "B2", "B2"},
		{"ABCDEFGHI", "XBCDXFGHX", ""}, // three, though one in three
		{"ABCDEFGHI", "XBCDXFGHI", "XBCDXFGHI"},
		{"ABCDE", "AXCDX", ""}, // two, though two at most
		{"größe", "grösse größen", "größen"},
		{"WM-100", "WM-1OO WM-100", "WM-100"}, // there as it is
		{"", "A", ""},
		{"--", "--- A", ""}, // no letter and no digit
		{strings.Repeat("W", 64), strings.Repeat("W", 65), strings.Repeat("W", 65)},
		{strings.Repeat("W", 65), strings.Repeat("W", 66), ""}, // no name is so long
	}
	for _, test := range tests {
		if got := NearestName(test.typed, strings.Fields(test.names)); got != test.want {
			t.Errorf("NearestName(%q, %s) = %q, want %q", test.typed, test.names, got, test.want)
		}
	}
}

// "CA" to "ABC" is 3 in the restricted distance and 2 in the unrestricted one:
// the example of Boytsov, Indexing methods for approximate dictionary searching
// (2011) [M]. "kitten" to "sitting" is the usual example of Levenshtein's [M].
func TestEditDistance(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		a, b string
		want int
	}{{"CA", "ABC", 3}, {"kitten", "sitting", 3}, {"ab", "ba", 1}, {"", "abc", 3}, {"ähm", "hämm", 2}} {
		if got := editDistance([]rune(test.a), []rune(test.b)); got != test.want {
			t.Errorf("editDistance(%s, %s) = %d, want %d", test.a, test.b, got, test.want)
		}
	}
}

// The cheap bound of Near rules out nothing that is near.
func TestNearRulesOutNothingNear(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	near := 0
	for range 20000 {
		a, b := randomName(r), randomName(r)
		distance := editDistance(FoldName(a).characters, FoldName(b).characters)
		want := distance <= min(2, len(a)/3)
		if _, got := FoldName(a).Near(FoldName(b)); got != want {
			t.Fatalf("%s and %s, %d apart: near is %t", a, b, distance, got)
		}
		if want {
			near++
		}
	}
	if near < 100 {
		t.Errorf("only %d pairs were near", near)
	}
}

func randomName(r *rand.Rand) string {
	name := make([]byte, 3+r.IntN(5))
	for i := range name {
		name[i] = "ACDE"[r.IntN(4)]
	}
	return string(name)
}
