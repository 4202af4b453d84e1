package bundle

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"standin"
)

// randomSettings are settings of one family in the order in which the database
// hands them over; codes are few, so that some settings share one.
func randomSettings(d *rand.Rand, n, points int, shows string) []setting {
	var all []setting
	for range n {
		pattern := make([]byte, points)
		for i := range pattern {
			pattern[i] = shows[d.IntN(len(shows))]
		}
		all = append(all, setting{pattern: string(pattern), code: fmt.Sprint("c", d.IntN(n)), rows: int32(d.IntN(3))})
	}
	slices.SortFunc(all, func(a, b setting) int {
		return cmp.Or(strings.Compare(a.pattern, b.pattern), strings.Compare(a.code, b.code))
	})
	return all
}

// alikeByPairs compares every setting with every other.
func alikeByPairs(all []setting) map[string]bool {
	alike := map[string]bool{}
	for _, s := range all {
		for _, other := range all {
			if s.rows > 0 && s.code != other.code && standin.Pattern(other.pattern).Definite() > 0 && agree(s.pattern, other.pattern) {
				alike[s.code+" "+s.pattern] = true
			}
		}
	}
	return alike
}

func agree(a, b string) bool {
	for i := range len(a) {
		if a[i] != b[i] && a[i] != standin.ShowsEither && b[i] != standin.ShowsEither {
			return false
		}
	}
	return true
}

func TestLikenessesAgainstAllPairs(t *testing.T) {
	t.Parallel()
	d := rand.New(rand.NewPCG(1, 2))
	found := 0
	for round := range 300 {
		all := randomSettings(d, 1+d.IntN(30), 1+d.IntN(7), []string{"01", "01-", "01f-"}[round%3])
		got := map[string]bool{}
		for s, other := range likenesses(all) {
			got[s.code+" "+s.pattern] = true
			if other.code == s.code || !agree(other.pattern, s.pattern) {
				t.Fatalf("%s %s is not like %s %s", s.code, s.pattern, other.code, other.pattern)
			}
		}
		want := alikeByPairs(all)
		found += len(want)
		if len(got) != len(want) {
			t.Fatalf("of %+v\n%v are alike, want\n%v", all, got, want)
		}
	}
	if found < 300 {
		t.Errorf("only %d settings were alike", found)
	}
}
