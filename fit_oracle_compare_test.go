package standin_test

import (
	"flag"
	"fmt"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// A longer run: go test . -run TestFitAgainstOracle -fit.cases 200000
var (
	fitCases = flag.Int("fit.cases", 3000, "cases in which Fit is compared with a second reading of its rules")
	fitSeed  = flag.Uint64("fit.seed", 1, "the seed of the first case; each further one has the next")
)

// Fit and the second reading of its rules give the same outcomes, and the cases
// reach every corner that is listed.
func TestFitAgainstOracle(t *testing.T) {
	t.Parallel()
	reached := map[string]int{}
	faults := 0
	for i := range *fitCases {
		seed := *fitSeed + uint64(i)
		d, m := newCase(seed)
		got := outcomesOf(standin.Fit(d, m))
		want, contradictions := oracle(d, m)
		if contradictions != nil {
			want.Contradiction = contradictions[0]
			if slices.ContainsFunc(contradictions, func(c []string) bool { return slices.Equal(c, got.Contradiction) }) {
				want.Contradiction = got.Contradiction // one of the smallest
			}
		}
		if !reflect.DeepEqual(want, got) {
			t.Errorf("-fit.seed %d -fit.cases 1: want -, got +\n%s", seed, cmp.Diff(want, got))
			if faults++; faults == 5 {
				t.FailNow()
			}
		}
		for _, corner := range corners(want, m) {
			reached[corner]++
		}
	}
	for _, corner := range mustReach {
		if *fitCases >= 2000 && reached[corner] == 0 {
			t.Errorf("no case in %d: %s", *fitCases, corner)
		}
	}
	t.Log(reached)
}

// mustReach are corners without which the comparison would say little.
var mustReach = []string{
	"fits", "check", "depends", "no", "work", "work fixed", "work preset", "work configure", "distance 0", "distance 1", "distance 2", "distance 3",
	"no distance", "1 adaptors, pass", "2 adaptors, pass", "3 adaptors, pass", "1 adaptors, unknown", "2 adaptors, unknown", "3 adaptors, unknown",
	"contradiction of 1", "contradiction of 2", "not used serial", "not used old_part", "free at the location", "free elsewhere",
	"configuration unknown", "options fail", "supply fail", "supply unknown", "ratings fail", "ratings unknown", "connectors fail", "stop fail",
	"settled by made", "settled by serial", "settled by plug", "settled by old_part",
}

// corners are the corners that a case reaches.
func corners(o outcomes, m standin.Machine) (reached []string) {
	add := func(words ...any) { reached = append(reached, fmt.Sprint(words...)) }
	if n := len(o.Contradiction); n > 0 {
		add("contradiction of ", n)
	}
	for _, e := range o.NotUsed {
		add("not used ", e)
	}
	if len(o.Builds) == 1 {
		for name, given := range map[string]bool{"made": m.Made.Text != "", "serial": m.Serial != "", "plug": m.Plug != nil, "old_part": m.OldPart != ""} {
			if given {
				add("settled by ", name)
			}
		}
	}
	for _, c := range o.Candidates {
		add(c.Verdict)
		if c.Distance.Known {
			add("distance ", c.Distance.V)
		} else {
			add("no distance")
		}
		switch rank(c, m)[1] {
		case 0:
			add("free at the location")
		case 1:
			add("free elsewhere")
		}
		for _, b := range c.Builds {
			reached = append(reached, cornersOfBuild(b)...)
		}
	}
	return reached
}

func cornersOfBuild(b judgedBuild) (reached []string) {
	work := "work"
	if b.Work != standin.NoWork {
		work += " " + string(b.Work)
	}
	reached = append(reached, work)
	if b.Adaptors != "" {
		reached = append(reached, fmt.Sprintf("%d adaptors, %s", len(b.Adaptors+" ")/3, b.Checks[standin.CheckConnectors]))
	}
	for check, outcome := range b.Checks {
		reached = append(reached, check+" "+outcome.String())
	}
	return reached
}
