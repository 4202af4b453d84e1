package demo

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/importer"
)

// catalogue is a database with the demo bundle in it.
func catalogue(t *testing.T) *db.DB {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, Bundle); err != nil {
		t.Fatal(err)
	}
	store, err := db.Open(t.Context(), dbtest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	report, err := importer.Run(t.Context(), bundle.NewStore(store), []string{filepath.Join(dir, BundleDir)}, importer.Options{By: "test"})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range report.Findings {
		if f.Code == standin.SwappablePlugs || f.Code == standin.PredictedPattern {
			continue // there to be warned of
		}
		t.Errorf("%s:%d: %s: %s %q", f.File, f.Line, f.Column, f.Message, f.Value)
	}
	if !report.Committed {
		t.Fatal("the bundle was not imported: " + report.Summary())
	}
	return store
}

// answers are the results for the expectations, in order.
func answers(t *testing.T, store *db.DB, all []expectation) []standin.Result {
	t.Helper()
	machines := make([]standin.Machine, len(all))
	for i, e := range all {
		machines[i] = e.machine
	}
	results, err := standin.Ask(t.Context(), store, machines)
	if err != nil {
		t.Fatal(err)
	}
	return results
}

func expectations(t *testing.T) []expectation {
	t.Helper()
	all, err := readExpectations(os.DirFS("expect"))
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 25 {
		t.Fatalf("%d expectations are too few to say what the demo answers", len(all))
	}
	return all
}

func TestExpectations(t *testing.T) {
	t.Parallel()
	all := expectations(t)
	for i, r := range answers(t, catalogue(t), all) {
		for _, c := range all[i].claims {
			if err := c.holds(r); err != nil {
				t.Errorf("expect/%s: %s\n\t%v", c.where, c.text, err)
			}
		}
	}
}

// A wrong expectation of every form fails: what is expected here is near the
// truth and not it.
const wrong = `# Why: each of these lines is wrong.
machine: Fenlask Vask 640 / K03
location: front
expect: builds b1
expect: twin of Fenlask Vask 620
expect: contradiction plug
expect: not used serial
expect: unknown model
expect: nearest Fenlask Vask 620
expect: no question
expect: question made
expect: never asks made
expect: choice 10 leaves b2
expect: choice 9 leaves b1
expect: nothing fits
expect: never ZQ-PA-131
expect: only ZQ-PA-140 rev A
expect: before fitting heater 25.19 to 29.38 ohms
expect: before fitting heater 8.6 amps
expect: before fitting kettle 8.7 amps
expect: ZQ-PA-131 rev C before ZQ-PA-140 rev A
expect: first ZQ-PA-140 rev B fits
expect: ZQ-PA-140 rev Z fits
expect: ZQ-PA-140 rev A check
expect: ZQ-PA-140 rev A fits, code 3 1 2 7
expect: ZQ-PA-140 rev A fits, code 3 1 2
expect: ZQ-PA-140 rev A fits, pattern 1110100011
expect: ZQ-PA-140 rev A fits, adaptors none
expect: ZQ-PA-140 rev A fits, adaptors ZQ-LM-101 ZQ-LM-110
expect: ZQ-PA-140 rev A fits, work preset
expect: ZQ-PA-140 rev A fits, procedure pavane-dial
expect: ZQ-PA-140 rev A fits, source Workshop notes
expect: ZQ-PA-140 rev A fits, distance 2
expect: ZQ-PA-140 rev A fits, stock front new 2
expect: ZQ-PA-140 rev A fits, unknown ratings
expect: ZQ-PA-140 rev A fits, availability elsewhere
expect: ZQ-PA-131 rev C depends, loom ZQ-LM-101 front new 2
expect: ZQ-PA-140 rev A fits, in b1 fits, proof 3 1 2 7
expect: ZQ-PA-140 rev A fits, in b1 fits, shows 1110100011
expect: hint Rondeau
expect: question position
expect: ZQ-PA-131 rev C depends, adaptors none
expect: ZQ-PA-131 rev C depends, in b1 check
expect: ZQ-PA-131 rev C depends, in b3 fits
expect: ZQ-PA-131 rev C depends, in b2 fits, swappable none
expect: ZQ-PA-118 rev B depends, in b2 no, fails options ratings
expect: ZQ-PA-118 rev B depends, in b2 no, fails none

# Why: the model is not known, so nothing is answered.
machine: Fenlask Vask 64O / K03
expect: builds b1 b2
expect: nothing fits
expect: nearest Ruskelby RK5-F1
`

func TestWrongExpectationsFail(t *testing.T) {
	t.Parallel()
	all, err := parseExpectations("wrong.txt", wrong)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range answers(t, catalogue(t), all) {
		for _, c := range all[i].claims {
			if c.holds(r) == nil {
				t.Errorf("%s: holds, and should not: %s", c.where, c.text)
			}
		}
	}
}

func TestUnreadableExpectations(t *testing.T) {
	t.Parallel()
	const good = "# Why: x\nmachine: Fenlask Vask 650\nexpect: builds b1\n"
	if _, err := parseExpectations("x.txt", good); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ text, says string }{
		"no reason":           {"machine: A B\nexpect: builds b1", "x.txt:1: a case begins with its reason"},
		"no machine":          {"# Why: x\nexpect: builds b1", "x.txt:1: a case names a machine"},
		"no expectation":      {"# Why: x\nmachine: A B", "x.txt:1: a case names a machine"},
		"unknown directive":   {good + "serail: 1", `x.txt:4: "serail" is not a directive`},
		"no directive":        {good + "builds b1", `x.txt:4: "builds b1" is not a directive`},
		"given twice":         {good + "plug: 2\nplug: 3", "x.txt:5: plug is given twice"},
		"empty directive":     {good + "plug:", "x.txt:4: plug: says nothing"},
		"bad date":            {good + "made: 5/2003", `x.txt:4:`},
		"bad plug":            {good + "plug: ten", `x.txt:4:`},
		"brand alone":         {"# Why: x\nmachine: Fenlask\nexpect: builds b1", "x.txt:2:"},
		"unknown expectation": {good + "expect: bilds b1", `x.txt:4: "bilds b1" is not an expectation`},
		"no verdict":          {good + "expect: first ZQ-1 rev A", `x.txt:4: "" is not a verdict`},
		"unknown verdict":     {good + "expect: ZQ-1 rev A maybe", `x.txt:4: "maybe" is not a verdict`},
		"unknown clause":      {good + "expect: ZQ-1 rev A fits, colour red", `x.txt:4: "colour red" is not a clause`},
		"empty clause":        {good + "expect: ZQ-1 rev A fits, code", `x.txt:4: "code" says nothing`},
		"clause not of build": {good + "expect: ZQ-1 rev A fits, in b1 fits, distance 1", `x.txt:4: "distance 1" is not a clause here`},
		"bad build clause":    {good + "expect: ZQ-1 rev A fits, in b1", `x.txt:4: "in b1": write in BUILD VERDICT`},
		"unknown evidence":    {good + "expect: contradiction colour", `x.txt:4: "colour" is not among`},
		"unknown question":    {good + "expect: question serial", `x.txt:4: "serial" is not among`},
		"no builds":           {good + "expect: builds", `x.txt:4: builds of which labels?`},
		"words too many":      {good + "expect: nothing fits here", `x.txt:4: "here" says nothing here`},
		"choice of nothing":   {good + "expect: choice 10", `x.txt:4: write: choice`},
		"no unit":             {good + "expect: before fitting heater 8", `x.txt:4: write: before fitting`},
		"order of one":        {good + "expect: ZQ-1 rev A before it", `x.txt:4: "it" is not a board`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := parseExpectations("x.txt", c.text)
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want %s", err, c.says)
			}
		})
	}
}
