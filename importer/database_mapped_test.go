package importer_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// What is found in the whole is said of the supplier's line and column, once;
// of a constant at its line in the mapping.
func TestMappedReferences(t *testing.T) {
	t.Parallel()
	files := importertest.Supplied(t)
	files["mapping.yaml"] = strings.Replace(files["mapping.yaml"], "      hertz: {", "      layout: {constant: nowhere}\n      hertz: {", 1)
	files["mapping.yaml"] = strings.Replace(files["mapping.yaml"], "      part_number: Part\n      needs", "      part_number: {template: \"{Part}x\"}\n      needs", 1)
	dir := importertest.Folder(t, files)
	report, err := importer.Run(context.Background(), openDatabase(t), []string{filepath.Join(dir, "table.csv")},
		importer.Options{Map: filepath.Join(dir, "mapping.yaml")})
	importertest.Must(t, err)
	want := strings.Join([]string{
		`error mapping.yaml:20 layout unknown-reference`, `error table.csv:2 Part unknown-reference`,
		`error table.csv:3 Part unknown-reference`, `error table.csv:4 Part unknown-reference`,
	}, "\n")
	var got []string
	for _, line := range strings.Split(importertest.FindingLines(report), "\n") {
		place, message, _ := strings.Cut(line, ": ")
		if got = append(got, place); strings.Contains(message, "(builds)") {
			t.Errorf("a message names the derived file: %s", message)
		}
	}
	if diff := cmp.Diff(want, strings.Join(got, "\n")); diff != "" {
		t.Errorf("findings (-want +got):\n%s\n%s", diff, importertest.FindingLines(report))
	}
}

// The worked example on a real database: in once, the same again changes nothing.
func TestWideTableOnDatabase(t *testing.T) {
	t.Parallel()
	const dir = "../cmd/standin/demo/wide/"
	store := openDatabase(t)
	for _, want := range []string{"as import ", "the catalogue has all of it already, nothing changes."} {
		report, err := importer.Run(context.Background(), store, []string{dir + "tarn.csv"}, importer.Options{Map: dir + "tarn.yaml"})
		importertest.Must(t, err)
		if got := importertest.FindingLines(report); report.Errors > 0 || !strings.Contains(report.Summary(), want) {
			t.Errorf("%s\n%s", report.Summary(), got)
		}
	}
}

// A misprint in a supplier's table is said once of its row, however many models
// the row names, and of the supplier's columns.
func TestMappedMisprint(t *testing.T) {
	t.Parallel()
	const dir = "../cmd/standin/demo/wide/"
	text, err := os.ReadFile(dir + "tarn.csv")
	importertest.Must(t, err)
	broken := strings.Replace(string(text), ";3;8;6;6;", ";3;8;5;6;", 1)
	path := filepath.Join(importertest.Folder(t, map[string]string{"tarn.csv": broken}), "tarn.csv")
	report, err := importer.Run(context.Background(), openDatabase(t), []string{path}, importer.Options{Map: dir + "tarn.yaml", Check: true})
	importertest.Must(t, err)
	got := report.Findings
	if report.Errors != 0 || report.Warnings != 1 || got[0].Code != "likely-misprint" || got[0].File != "tarn.csv" || got[0].Line != 5 ||
		got[0].Column != "Code 1, Code 2, Code 3, Code 4" || got[0].Correction != "3 8 6 6" {
		t.Errorf("%d errors, %d warnings:\n%s", report.Errors, report.Warnings, importertest.FindingLines(report))
	}
}

// A column that no item of the mapping reads for a row leaves what is recorded alone;
// one that is read and empty takes it back, in the rows that it is read for.
func TestMappedAbsentColumns(t *testing.T) {
	t.Parallel()
	store := openDatabase(t)
	steps := []struct{ table, mapping, want string }{
		{"Board;Issue;Layout;Stop\nB-1;2;L;\nB-2;3;L;burns\n", `
rows:
  - {file: layouts, columns: {layout: Layout, connector: {constant: CN1}}}
  - {file: boards, columns: {part_number: Board, title: {template: "Board {Board}"}}}
  - {file: revisions, columns: {part_number: Board, revision: {constant: A}, issue: Issue, layout: Layout, stop: Stop}}`,
			"5 rows added, 0 changed, 0 removed, as import 1."},
		{"Board;Issue;Stop;Old\nB-1;4;;\nB-2;;burns;x\n", `
rows:
  - {file: revisions, columns: {part_number: Board, revision: {constant: A}}}
  - {file: revisions, only_with: Issue, columns: {part_number: Board, revision: {constant: A}, issue: Issue}}
  - {file: revisions, only_with: Old, columns: {part_number: Board, revision: {constant: A}, layout: {column: Issue}, stop: Stop}}`,
			"0 rows added, 2 changed, 0 removed, as import 2."},
	}
	var report *importer.Report
	for _, step := range steps {
		dir := importertest.Folder(t, map[string]string{"table.csv": step.table, "mapping.yaml": step.mapping})
		var err error
		report, err = importer.Run(context.Background(), store, []string{filepath.Join(dir, "table.csv")}, importer.Options{Map: filepath.Join(dir, "mapping.yaml")})
		importertest.Must(t, err)
		if report.Summary() != step.want {
			t.Fatalf("%s\n%s", report.Summary(), importertest.FindingLines(report))
		}
	}
	change := func(board string, fields ...standin.FieldChange) standin.Change {
		return standin.Change{Op: "changed", Key: []standin.Field{{Column: "part_number", Value: board}, {Column: "revision", Value: "A"}}, Fields: fields}
	}
	want := []standin.Change{
		change("B-1", standin.FieldChange{Column: "issue", Before: "2", After: "4"}),
		change("B-2", standin.FieldChange{Column: "layout", Before: "L"}),
	}
	if diff := cmp.Diff(want, report.Files[0].Changes); diff != "" {
		t.Errorf("changes (-want +got):\n%s", diff)
	}
}
