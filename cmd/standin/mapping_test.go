package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin/db/dbtest"
)

const (
	wideTable = "demo/wide/tarn.csv"
	wideMap   = "demo/wide/tarn.yaml"
)

// The worked example: the wide table is checked, imported, and asked about.
func TestImportWithMap(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	at := []string{"--database-url", url}
	checked := run(t, append([]string{"import", "--check", "--map", wideMap, wideTable}, at...)...)
	if checked.status != statusAnswered || strings.Contains(checked.stdout, "warning") || !strings.Contains(checked.stdout, "nothing is yet.") {
		t.Fatalf("check: %+v", checked)
	}
	imported := run(t, append([]string{"import", "--map", wideMap, wideTable}, at...)...)
	if imported.status != statusAnswered || !strings.Contains(imported.stdout, "as import 1.") {
		t.Fatalf("import: %+v", imported)
	}
	fit := run(t, append([]string{"fit", "--brand", "Norvane", "--model", "DW 306"}, at...)...)
	if !strings.Contains(fit.stdout, "TB-610") || !strings.Contains(fit.stdout, "[ 3 ]  [ 8 ]  [ 6 ]  [ 6 ]") {
		t.Errorf("fit: %+v", fit)
	}
}

// What is wrong with a supplier's table is written in it and beside it.
func TestReviewFiles(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(wideTable)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	table, findings, annotated := filepath.Join(dir, "table.csv"), filepath.Join(dir, "f.csv"), filepath.Join(dir, "out.csv")
	broken := strings.Replace(string(text), ";3;8;6;6;", ";3;9;6;6;", 1)
	if err := os.WriteFile(table, []byte(broken), 0o600); err != nil {
		t.Fatal(err)
	}
	got := run(t, "import", "--map", wideMap, "--findings", findings, "--annotate", annotated, table, "--database-url", dbtest.New(t))
	if got.status != statusFailed || !strings.Contains(got.stderr, "nothing is imported") {
		t.Errorf("import: %+v", got)
	}
	for path, want := range map[string]string{findings: "error,table.csv,5,Code 2,9,unknown-symbol", annotated: ";TB-620;B;;\"error in Code 2: "} {
		written, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(written), want) {
			t.Errorf("%s has no %s:\n%s", path, want, written)
		}
	}
	got = run(t, "import", "--annotate", table, table, "--database-url", "postgres://127.0.0.1:1/x")
	if got.status != statusUsage || !strings.Contains(got.stderr, "would replace the original") {
		t.Errorf("over the original: %+v", got)
	}
}

func TestMap(t *testing.T) {
	t.Parallel()
	if got := run(t, "map", wideTable, "--family", "Tarn 6"); got.status != statusAnswered || !strings.Contains(got.stdout, "family: &family {constant: Tarn 6}") {
		t.Errorf("map: %+v", got)
	}
	if got := run(t, "map", "--schema"); !json.Valid([]byte(got.stdout)) || !strings.Contains(got.stdout, "only_with") {
		t.Errorf("schema: %+v", got)
	}
	for _, args := range [][]string{{"map"}, {"map", "a", "b"}, {"map", "absent.csv"}, {"map", "--schema", "x"}, {"map", "--explain", "absent.yaml", wideTable}} {
		if got := run(t, args...); got.status != statusUsage || got.stdout != "" {
			t.Errorf("%v: %+v", args, got)
		}
	}
}

// A mapping is shown at work: what each cell of the first rows becomes, and of which cell.
func TestMapExplained(t *testing.T) {
	t.Parallel()
	got := run(t, "map", "--explain", wideMap, "--rows", "2", wideTable)
	for _, want := range []string{
		"  B   Models                   -> models.model, loads.model, configurations.model, presets.model",
		"Row 5\n", "    model         DW 306                   <- B5 \"DW 301/306/309/310\"", "    watts         1800.0                   <- G5 \"1.800,0 W\"",
		"Row 6\n", "    brand         Norvane                  <- A6 \"\"", "    pattern       10ffff",
	} {
		if got.status != statusAnswered || !strings.Contains(got.stdout, want) {
			t.Errorf("no %q in %d\n%s%s", want, got.status, got.stdout, got.stderr)
		}
	}
	if strings.Contains(got.stdout, "Row 7\n") {
		t.Error("more rows than were asked for")
	}
	broken := filepath.Join(t.TempDir(), "map.yaml")
	if err := os.WriteFile(broken, []byte("rows: [{file: models, columns: {brand: Maker, model: {colum: B}}}]"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := run(t, "map", "--explain", broken, wideTable); got.status != statusFailed || !strings.Contains(got.stderr, "colum") || got.stdout != "" {
		t.Errorf("a broken mapping: %+v", got)
	}
}

// Where there is a catalogue, columns are known by what it holds, whatever their headers.
func TestMapByCatalogue(t *testing.T) {
	t.Parallel()
	table := filepath.Join(t.TempDir(), "table.csv")
	text := "Kolumna 1,Kolumna 2,Kolumna 3,Kolumna 4\nVask 620,Fenlask,ZQ-PA-140,4 3 1 2\nVask 690,Fenlask,ZQ-PA-140,2 3 1 12\nNew 1,Fenlask,ZQ-PA-100,1 2 3 7\n"
	if err := os.WriteFile(table, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	got := run(t, "map", table, "--database-url", readable(t))
	for _, want := range []string{"brand: &brand {column: Kolumna 2} # sure: the catalogue has 1 of its 1 values", "model: &model {column: Kolumna 1} # sure: the catalogue has 2 of its 3 values",
		"part_number: &part_number {column: Kolumna 3} # sure: the catalogue has", "code: {column: Kolumna 4} # sure: the catalogue has a family",
		"family: &family {constant: Pavane}"} {
		if got.status != statusAnswered || !strings.Contains(got.stdout, want) {
			t.Errorf("no %s in %s%s", want, got.stdout, got.stderr)
		}
	}
}
