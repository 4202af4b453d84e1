package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin/db/dbtest"
)

func TestHistory(t *testing.T) {
	t.Parallel()
	at := loaded(t)
	changed := writeBundle(t, map[string]string{
		"models.csv": "brand,model,variant,kind,volts,hertz\nCorvane,DW 640,,dishwasher,240,50\nCorvane,DW 650,,dishwasher,230,50\n"})
	if got := run(t, "import", changed, "--database-url", at, "--by", "Bo"); got.status != statusAnswered {
		t.Fatal(got.stderr)
	}
	checkSays(t, run(t, "history", "models", "Corvane", "DW 640", "--database-url", at), statusAnswered,
		"The row of models as it is now:", "volts      240", "Import 2, spring", "by Bo", "volts was 230, becomes 240", "Import 1, spring", "by Ada", "kind dishwasher")
	var h historyJSON
	decode(t, run(t, "history", "Models.csv", "Corvane", "DW 640", "", "--json", "--database-url", at).stdout, &h)
	if h.Now["volts"] != "240" || len(h.Changes) != 2 || h.Changes[0].Import.By != "Bo" || h.Changes[0].Fields[0].Before != "230" {
		t.Errorf("%+v", h)
	}
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"models", "Corvane", "XX"}, statusFailed, "never had"},
		{[]string{"modles", "Corvane", "XX"}, statusUsage, "no file of a bundle"},
		{[]string{"models"}, statusUsage, "brand, model, variant"},
		{[]string{"models", "Corvane"}, statusUsage, "model is missing"},
		{nil, statusUsage, "name a file"},
	} {
		got := run(t, append(append([]string{"history"}, c.args...), "--database-url", at)...)
		checkSentence(t, got)
		if got.status != c.status || !strings.Contains(got.stderr, c.says) {
			t.Errorf("history %q: status %d, %q; want %d, %q", c.args, got.status, got.stderr, c.status, c.says)
		}
	}
}

func TestExport(t *testing.T) {
	t.Parallel()
	at := loaded(t)
	dir := t.TempDir()
	for _, out := range []string{filepath.Join(dir, "all"), filepath.Join(dir, "all.zip")} {
		checkSays(t, run(t, "export", out, "--database-url", at), statusAnswered, "2 models", "1 configurations")
		checkSays(t, run(t, "import", out, "--database-url", at), statusAnswered, "nothing changes")
	}
	checkSays(t, run(t, "export", filepath.Join(dir, "one"), "--family", "QX", "--database-url", at), statusAnswered, "1 models")
	checkSays(t, run(t, "import", filepath.Join(dir, "one"), "--database-url", dbtest.New(t)), statusAnswered, "as import 1")
	checkSays(t, run(t, "export", filepath.Join(dir, "none"), "--database-url", dbtest.New(t)), statusAnswered, "the catalogue is empty")
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{filepath.Join(dir, "all")}, statusUsage, "is there already"},
		{[]string{filepath.Join(dir, "no", "where")}, statusUsage, "nothing can be written at"},
		{[]string{filepath.Join(dir, "two"), "--family", "QY"}, statusFailed, "there is no family QY"},
		{nil, statusUsage, "give the folder"},
	} {
		got := run(t, append(append([]string{"export"}, c.args...), "--database-url", at)...)
		checkSentence(t, got)
		if got.status != c.status || !strings.Contains(got.stderr, c.says) {
			t.Errorf("export %q: status %d, %q; want %d, %q", c.args, got.status, got.stderr, c.status, c.says)
		}
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 4 {
		t.Errorf("%d entries are left, want the four exports: %v, %v", len(left), left, err)
	}
}

func TestAudit(t *testing.T) {
	t.Parallel()
	at := loaded(t)
	checkSays(t, run(t, "audit", "--database-url", at), statusAnswered, "Nothing odd was found")
	gap := writeBundle(t, map[string]string{"builds.csv": "brand,model,build,made_from,made_to,part_number,layout,needs\n" +
		"Corvane,DW 640,b1,1999,2001-01,QX-1,wide,none\nCorvane,DW 640,b2,2001-03,,QX-2,split,none\n"})
	checkSays(t, run(t, "import", gap, "--database-url", at), statusAnswered, "builds.csv:2 made_to gap")
	checkSays(t, run(t, "audit", "--database-url", at), statusAnswered, "builds.csv made_from gap", "build b2 of Corvane DW 640 begins 2001-03-01", "1 warning")
	checkSays(t, run(t, "audit", "--family", "QX", "--database-url", at), statusAnswered, "1 warning")
	rows, err := csv.NewReader(strings.NewReader(run(t, "audit", "--csv", "--database-url", at).stdout)).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][5] != "gap" || rows[1][2] != "" {
		t.Errorf("as CSV: %q, %v", rows, err)
	}
	var found struct {
		Warnings int
		Findings []findingJSON
	}
	decode(t, run(t, "audit", "--json", "--database-url", at).stdout, &found)
	if found.Warnings != 1 || len(found.Findings) != 1 || found.Findings[0].Severity != "warning" {
		t.Errorf("as JSON: %+v", found)
	}
	got := run(t, "audit", "--family", "QY", "--database-url", at)
	checkSentence(t, got)
	if got.status != statusFailed {
		t.Errorf("an unknown family: status %d", got.status)
	}
}

func TestGenerate(t *testing.T) {
	t.Parallel()
	out := filepath.Join(t.TempDir(), "made")
	checkSays(t, run(t, "generate", "--models", "30", "--configurations", "100", "--seed", "7", out), statusAnswered, "30 models")
	checkSays(t, run(t, "import", out, "--check", "--database-url", dbtest.New(t)), statusAnswered, "configurations.csv: 100 rows")
	if strings.Contains(run(t, "--help").stdout, "generate") {
		t.Error("the help shows the command for developers")
	}
}
