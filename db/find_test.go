package db

import (
	"strconv"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestFindModels(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	tests := []struct {
		name, typed string
		first       string // empty: nothing is found
		least, most float64
	}{
		{"as it is written", "Ondara WD 300", "Ondara WD 300", 1, 1},
		{"without case, spaces and punctuation", "ondara wd-300", "Ondara WD 300", 1, 1},
		{"without the brand", "wd300", "Ondara WD 300", 1, 1},
		{"with its variant", "WD300 B2", "Ondara WD 300 / B/2", 1, 1},
		{"with misread characters", "0NDARA WD 3OO", "Ondara WD 300", 0.95, 0.95},
		{"misread without the brand", "wd3oo82", "Ondara WD 300 / B/2", 0.95, 0.95},
		{"the beginning", "Ondara WD 3", "Ondara WD 300", 0.5, 0.94},
		{"the beginning of the number", "td", "Ondara TD 5 / C", 0.5, 0.94},
		{"a model of one variant, without it", "Ondara TD 5", "Ondara TD 5 / C", 0.5, 0.94},
		{"a letter wrong", "Ondarra WD 300", "Ondara WD 300", 0.3, 0.9},
		{"a digit wrong", "Ondara WD 301", "Ondara WD 300", 0.3, 0.9},
		{"the brand last", "WD 300 Ondara", "Ondara WD 300", 0.3, 0.95},
		{"the end of the number", "300 b2", "Ondara WD 300 / B/2", 0.1, 0.9},
		{"a badge", "kessen k1", "Kessen K1", 1, 1},
		{"nothing like it", "qqqqqq", "", 0, 0},
		{"nothing", "  - ", "", 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := db.FindModels(t.Context(), tt.typed, 5)
			if err != nil {
				t.Fatal(err)
			}
			if len(got) == 0 {
				if tt.first != "" {
					t.Errorf("nothing is found, want %s", tt.first)
				}
				return
			}
			if got[0].String() != tt.first || got[0].Nearness < tt.least || got[0].Nearness > tt.most {
				t.Errorf("first is %s at %.3f, want %s at %.2f to %.2f", got[0].ModelKey, got[0].Nearness, tt.first, tt.least, tt.most)
			}
			for _, m := range got { // no digits of a narrower type
				if digits := strconv.FormatFloat(m.Nearness, 'f', -1, 64); len(digits) > len("0.1234") {
					t.Errorf("%s is at %s", m.ModelKey, digits)
				}
			}
			for i := range got[1:] {
				if got[i+1].Nearness > got[i].Nearness {
					t.Errorf("%s at %.3f stands before %s at %.3f", got[i].ModelKey, got[i].Nearness, got[i+1].ModelKey, got[i+1].Nearness)
				}
			}
		})
	}
}

func TestFindModelsTellsTwinsAndKeepsOrder(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	got, err := db.FindModels(t.Context(), "ondara wd88", 2)
	if err != nil {
		t.Fatal(err)
	}
	want := []standin.ModelMatch{
		{ID: 6, ModelKey: standin.ModelKey{Brand: "Ondara", Model: "WD 88"}, Nearness: 1},
		{ID: 5, ModelKey: standin.ModelKey{Brand: "Ondara", Model: "WD-88"}, Nearness: 1},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("equally near ones stand by key (-want +got):\n%s", diff)
	}
	twin, err := db.FindModels(t.Context(), "Kessen", 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(twin) != 1 || twin[0].TwinOf == nil || twin[0].TwinOf.Model != "WD 300" {
		t.Errorf("%+v, want the badge with the model that it is a twin of in the end", twin)
	}
}

// The SQL function that models are found by makes the same characters one as the
// core, for every letter and digit. A database whose locale knows the case of
// ASCII alone leaves the others as they are.
func TestFoldedIsFoldMistaken(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	var characters []string
	for r := range rune(0x10000) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			characters = append(characters, string(r))
		}
	}
	var folded []string
	err := db.pool.QueryRow(t.Context(), "SELECT array_agg(folded(c) ORDER BY n) FROM unnest($1::text[]) WITH ORDINALITY AS u (c, n)", characters).Scan(&folded)
	if err != nil || len(folded) != len(characters) {
		t.Fatalf("%d of %d characters, %v", len(folded), len(characters), err)
	}
	for i, c := range characters {
		want := standin.FoldMistaken(c)
		if folded[i] != want && (len(c) == 1 || folded[i] != c) {
			t.Errorf("folded(%q) is %q, want %q", c, folded[i], want)
		}
	}
}
