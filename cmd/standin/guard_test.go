package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin"
	"standin/db/dbtest"
)

// csvIn writes one file of a bundle.
func csvIn(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// refused checks that a command failed and that stderr says each of some things.
func isRefused(t *testing.T, got ran, says ...string) {
	t.Helper()
	if got.status != statusFailed {
		t.Errorf("status %d, want %d: %s", got.status, statusFailed, got.stdout)
	}
	words := strings.Join(strings.Fields(got.stderr), " ")
	for _, s := range says {
		if !strings.Contains(words, s) {
			t.Errorf("it does not say %q:\n%s", s, got.stderr)
		}
	}
}

// A board that must not be supplied stays so until somebody consents, whatever the
// table leaves out.
func TestStopsAreLiftedByConsent(t *testing.T) {
	t.Parallel()
	at := []string{"--database-url", dbtest.New(t)}
	question := append([]string{"fit", "--brand", "Corvane", "--model", "DW 640", "--plug", "3", "--all"}, at...)
	checkSays(t, run(t, append(at, "import", writeBundle(t, nil))...), statusAnswered, "as import 1")
	stop := csvIn(t, "revisions.csv", "part_number,revision,stop\nQX-1,A,the relay sticks\n")
	checkSays(t, run(t, append(at, "import", stop)...), statusAnswered, "as import 2")
	fits := func(want bool) {
		t.Helper()
		if got := run(t, question...); want != strings.Contains(got.stdout, "QX-1 revision A fits") || want == strings.Contains(got.stdout, "the relay sticks") {
			t.Errorf("want that it fits %t:\n%s", want, got.stdout)
		}
	}
	fits(false)
	absent := csvIn(t, "revisions.csv", "part_number,revision\nQX-1,A\n")
	checkSays(t, run(t, append(at, "import", "--check", absent)...), statusAnswered, "1 row (UTF-8, comma), without issue, layout", "nothing changes")
	checkSays(t, run(t, append(at, "import", absent)...), statusAnswered, "nothing changes")
	fits(false)

	empty := csvIn(t, "revisions.csv", "part_number,revision,stop\nQX-1,A,\n")
	isRefused(t, run(t, append(at, "import", empty)...), "revisions.csv:2 stop lifted-stop", "board QX-1 revision A must not be supplied (recorded: the relay sticks)", "consent with --lift-stops")
	fits(false)
	got := run(t, append(at, "import", "--lift-stops", "--check", empty)...)
	checkSays(t, got, statusAnswered, "part_number QX-1, revision A: stop was the relay sticks")
	if diff := got.stdout[strings.Index(got.stdout, "\n")+1:]; !strings.HasPrefix(diff, "Supply stops that are lifted:") {
		t.Errorf("the diff does not begin with them:\n%s", got.stdout)
	}
	var report reportJSON
	decode(t, run(t, append(at, "import", "--lift-stops", "--check", "--json", empty)...).stdout, &report)
	if len(report.Files) != 1 || !report.Files[0].Changes[0].LiftsStop {
		t.Errorf("the JSON does not say it: %+v", report.Files)
	}
	isRefused(t, run(t, append(at, "undo", "2")...), "import 2 cannot be undone", "consent with --lift-stops")
	fits(false)
	checkSays(t, run(t, append(at, "undo", "2", "--lift-stops")...), statusAnswered, "undoes import 2")
	fits(true)
}

// The stock of a location as a whole, from a table with a part that nobody knows.
func TestImportStockOfALocation(t *testing.T) {
	t.Parallel()
	at := []string{"--database-url", dbtest.New(t)}
	checkSays(t, run(t, append(at, "import", writeBundle(t, nil))...), statusAnswered, "as import 1")
	stock := csvIn(t, "stock.csv", "location,part_number,condition,quantity\nvan,QX-1,new,4\nfront,QX-999,new,1\n")
	isRefused(t, run(t, append(at, "import", stock)...), "stock.csv:3 part_number unknown-stock", "--skip-unknown-stock leaves such lines out")
	if got := run(t, append(at, "import", "--skip-unknown-stock", "--replace-stock", "frnt", stock)...); got.status != statusUsage {
		t.Errorf("a location that is not there: status %d, %s", got.status, got.stderr)
	}
	if got := run(t, append(at, "import", "--replace-stock", "front", csvIn(t, "models.csv", "brand,model\nCorvane,DW 640\n"))...); got.status != statusUsage {
		t.Errorf("no stock: status %d, %s", got.status, got.stderr)
	}
	got := run(t, append(at, "import", "--skip-unknown-stock", "--replace-stock", "front", stock)...)
	checkSays(t, got, statusAnswered, "stock.csv:3 part_number unknown-stock", "left out: QX-999", "1 line of stock left out", "1 row added, 1", "as import 2")
	checkSays(t, run(t, append(at, "board", "QX-1")...), statusAnswered, "4 new at van")
	var report reportJSON
	decode(t, run(t, append(at, "import", "--json", "--skip-unknown-stock", "--replace-stock", "front", stock)...).stdout, &report)
	if report.Files[0].LeftOut != 1 || report.Warnings != 1 || report.Findings[0].Code != standin.UnknownStock || report.Import != nil {
		t.Errorf("again: %+v", report)
	}
}
