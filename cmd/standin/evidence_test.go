package main

import (
	"testing"

	"standin/db/dbtest"
)

// Evidence of positions and of plugs that are not there is taken from the command
// line as from an address.
func TestEvidenceOnTheCommandLine(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	if got := run(t, "import", "demo/bundle", "--database-url", at, "--by", "demo"); got.status != statusAnswered {
		t.Fatalf("the demo catalogue is not imported: %s", got.stderr)
	}
	washer := []string{"fit", "--brand", "Fenlask", "--model", "Tvatt 540", "--location", "front", "--database-url", at}
	dish := []string{"fit", "--brand", "Fenlask", "--model", "Vask 690", "--location", "front", "--database-url", at}
	for _, test := range []struct {
		name string
		args []string
		says []string
	}{
		{"no position", washer, []string{"add --position display", "b1", "d1", "m1"}},
		{"position", append(washer, "--position", "display"), []string{"It is this build", "ZQ-DS-610", "1 used at front"}},
		{"no plug", append(dish, "--plug", "no 10"), []string{"It is this build", "b2", "going by no plug of 10 ways"}},
		{"a plug and no plug", append(dish, "--plug", "6 2 no 10"), []string{"It is this build", "b2"}},
	} {
		t.Run(test.name, func(t *testing.T) { checkSays(t, run(t, test.args...), statusAnswered, test.says...) })
	}
	checkSays(t, run(t, append(dish, "--plug", "10 no 10")...), statusNothing, "contradicts itself")
	if got := run(t, append(dish, "--plug", "no")...); got.status != statusUsage {
		t.Errorf("a no of nothing: status %d, %s", got.status, got.stderr)
	}
}
