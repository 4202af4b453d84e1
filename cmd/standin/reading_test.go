package main

import (
	"strings"
	"testing"

	"standin/db/dbtest"
)

// readable is a database with the demo's bundle in it.
func readable(t *testing.T) (databaseURL string) {
	t.Helper()
	at := dbtest.New(t)
	if got := run(t, "import", "demo/bundle", "--database-url", at); got.status != statusAnswered {
		t.Fatalf("the bundle is not imported: %s", got.stderr)
	}
	return at
}

// A board of the demo set with one symbol wrong, verified, identified, and its
// family looked at.
func TestVerifyIdentifyFamily(t *testing.T) {
	t.Parallel()
	at := readable(t)
	machine := []string{"verify", "--family", "Pavane", "--brand", "Ruskelby", "--model", "RK6-D3", "--database-url", at}
	checkSays(t, run(t, append(machine, "10f1110111")...), statusAnswered, "Family Pavane, set for Ruskelby RK6-D3",
		"[ 7 ]  [ 4 ]  [ 4 ]  [ 7 ]", "The reading tallies.", "How far the pattern can be trusted:")
	checkSays(t, run(t, append(machine, "10f1010111")...), statusNothing, "The reading does not tally: ", "What probably happened")
	checkSays(t, run(t, append(machine, "Prewash=lit", "wash:off")...), statusAnswered, "Still to read: Rinse", "Rinse not read")
	mistaken := run(t, "verify", "--family", "Pavane", "--code", "3 4 4 7", "--database-url", at, "10f1110111")
	checkSays(t, mistaken, statusNothing, "1   Place 1: 7 was probably entered, 3 was meant; that is the code for")
	checkSays(t, run(t, "verify", "--family", "Pavane", "--brand", "Ukkelholt", "--model", "UKH 6040", "--database-url", at, "11????????"),
		statusAnswered, "No pattern is recorded for this code", "it would show, predicted")
	checkSays(t, run(t, "identify", "--database-url", at, "10f1110111"), statusAnswered, "One recorded setting is as read.", "Family Pavane [ 7 ]  [ 4 ]  [ 4 ]  [ 7 ]", "Ruskelby RK6-D3")
	checkSays(t, run(t, "identify", "--family", "Pavane", "--database-url", at, "00f0000111"), statusNothing, "Nothing recorded is as read", "differs")
	checkSays(t, run(t, "family", "Pavane", "--database-url", at), statusAnswered, "Code map: what each point shows", "place 1", "trust      ")
}

// The JSON of a command is what the API answers.
func TestReadingJSON(t *testing.T) {
	t.Parallel()
	at := readable(t)
	checkSays(t, run(t, "verify", "--family", "Pavane", "--code", "7 4 4 7", "--database-url", at, "--json", "10f1110111"), statusAnswered, `"tally": "tallies"`, `"stories": []`)
	checkSays(t, run(t, "verify", "--family", "Pavane", "--code", "7 4 4 7", "--database-url", at, "--json", "10f1010111"), statusNothing, `"tally": "does-not-tally"`, `"kind": "`)
	checkSays(t, run(t, "identify", "--database-url", at, "--json", "10f1110111"), statusAnswered, `"exact_count": 1`, `"family": "Pavane"`)
	checkSays(t, run(t, "family", "Pavane", "--database-url", at, "--json"), statusAnswered, `"code_map": {`, `"kind": "exact"`)
}

func TestReadingMisused(t *testing.T) {
	t.Parallel()
	at := readable(t)
	for _, c := range []struct {
		args   string
		status int
		says   string
	}{
		{"verify", statusUsage, "say what was read"},
		{"identify", statusUsage, "say what was read"},
		{"identify 10 --limit 0", statusUsage, "0 is not from 1 to 100"},
		{"verify 10f1", statusUsage, "give the code, or brand and model"},
		{"verify --code ABC 10f1", statusUsage, "a code is one of a family"},
		{"verify --family Pavane --code 7447 10f1", statusUsage, "the code \"7447\" has 1 symbol, a code of family Pavane has 4"},
		{"verify --family Pavane --code 7,4,4,13 10f1", statusUsage, "has 1 symbol"},
		{"verify --family Pavane --brand Ruskelby --model RK6-D3 10f1", statusUsage, "the reading is too short: it has 4 points"},
		{"verify --family Pavane --brand Ruskelby --model RK6-D9 10f1110111", statusFailed, "no model Ruskelby RK6-D9 is recorded"},
		{"verify --family Pavan --code ABC 10f1", statusFailed, "there is no family Pavan"},
		{"identify ??????????", statusUsage, "no point was read"},
		{"identify --family Galliard 101", statusUsage, "the reading is too short: it has 3 points"},
	} {
		t.Run(c.args, func(t *testing.T) {
			t.Parallel()
			got := run(t, append(strings.Fields(c.args), "--database-url", at)...)
			if got.status != c.status || !strings.Contains(got.stderr, c.says) || got.stdout != "" {
				t.Errorf("status %d, stdout %q, stderr %q; want %d and %q", got.status, got.stdout, got.stderr, c.status, c.says)
			}
		})
	}
}
