package standin_test

import (
	"flag"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// A longer run: go test . -run TestFitAgainstOracle -fit.cases 200000
var (
	fitCases = flag.Int("fit.cases", 3000, "cases in which Fit is compared with a second implementation of its rules")
	fitSeed  = flag.Uint64("fit.seed", 1, "the seed of the first case; each further one has the next")
)

// Fit and the second implementation of its rules give the same outcomes, and the
// cases reach every corner that is listed.
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
		for _, corner := range corners(d, want, m) {
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
	"contradiction of 1", "contradiction of 2", "not used serial", "not used old_part", "available here", "available here-if-revision", "available elsewhere",
	"available elsewhere-if-revision", "available none", "worse for an adaptor", "adaptor not recorded in stock", "proof", "several positions", "one set for all",
	"configuration unknown", "options fail", "supply fail", "supply unknown", "ratings fail", "ratings unknown", "connectors fail", "stop fail",
	"settled by made", "settled by serial", "settled by plug", "settled by no plug", "settled by old_part", "settled by position", "not used old_part",
}

// corners returns the corners that a case reaches.
func corners(d *standin.Dossier, o outcomes, m standin.Machine) (reached []string) {
	add := func(words ...any) { reached = append(reached, fmt.Sprint(words...)) }
	if n := len(o.Contradiction); n > 0 {
		add("contradiction of ", n)
	}
	for _, e := range o.NotUsed {
		add("not used ", e)
	}
	if len(o.Builds) == 1 {
		for name, given := range map[string]bool{"made": m.Made.Text != "", "serial": m.Serial != "", "plug": m.Plug != nil, "no plug": m.NoPlug != nil, "position": m.Position != "", "old_part": m.OldPart != ""} {
			if given {
				add("settled by ", name)
			}
		}
	}
	if slices.ContainsFunc(o.Builds, func(b string) bool { return strings.Contains(b, "display") }) {
		add("several positions")
	}
	for _, c := range o.Candidates {
		if oneSetForAll(d, c) {
			add("one set for all")
		}
		add(c.Verdict)
		if c.Distance.Known {
			add("distance ", c.Distance.V)
		} else {
			add("no distance")
		}
		add("available ", c.Availability)
		if own, _ := ownClass(d, c, m.Location); classes[own] != c.Availability {
			add("worse for an adaptor")
		}
		if len(c.AdaptorStock) > 0 && !c.AdaptorStock[0].Recorded {
			add("adaptor not recorded in stock")
		}
		for _, b := range c.Builds {
			reached = append(reached, cornersOfBuild(b)...)
		}
	}
	return reached
}

// oneSetForAll reports whether a candidate takes a set of adaptors in all builds
// that is not the alphabetically first in each.
func oneSetForAll(d *standin.Dossier, c candidateOutcome) bool {
	for _, board := range d.Boards {
		for _, r := range board.Revisions {
			if board.PartNumber != c.Part || r.Label != c.Revision {
				continue
			}
			for i, b := range d.Builds {
				if len(c.Builds) == len(d.Builds) && strings.Join(oracleConnectors(d, b.Layout, r.Layout).adaptors, " ") != c.Builds[i].Adaptors {
					return true
				}
			}
		}
	}
	return false
}

func cornersOfBuild(b buildOutcome) (reached []string) {
	if b.Proof != "" {
		reached = append(reached, "proof")
	}
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
