package standin_test

import (
	"testing"

	"standin"
)

func TestKeepsFailing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		not, tallied int
		want         bool
	}{
		{0, 0, false}, {2, 0, false}, {3, 0, true}, {3, 2, true}, {3, 3, false}, {4, 3, true}, {3, 100, false},
	} {
		if got := (standin.FittingCounts{DidNotTally: c.not, Tallied: c.tallied}).KeepsFailing(); got != c.want {
			t.Errorf("%d do not tally, %d do: %v", c.not, c.tallied, got)
		}
	}
}
