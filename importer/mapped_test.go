package importer_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin"
	"standin/importer"
)

// supplied are the supplier's table and its mapping in testdata.
func supplied(t testing.TB) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, name := range []string{"table.csv", "mapping.yaml"} {
		text, err := os.ReadFile(filepath.Join("testdata/supplied", name))
		must(t, err)
		files[name] = string(text)
	}
	return files
}

func importMapped(t testing.TB, files map[string]string) (*importer.Report, *memory) {
	t.Helper()
	dir, store := folderOf(t, files), &memory{}
	report, err := importer.Run(context.Background(), store, []string{filepath.Join(dir, "table.csv")},
		importer.Options{Map: filepath.Join(dir, "mapping.yaml")})
	must(t, err)
	return report, store
}

// What a supplier's table becomes.
func TestMapped(t *testing.T) {
	t.Parallel()
	report, store := importMapped(t, supplied(t))
	if got := findingLines(report); got != "" {
		t.Errorf("findings:\n%s", got)
	}
	day := standin.NewDate
	want := map[string][]standin.Row{
		"families": {{Line: 2, Cells: []any{"Marl", nil, []string{"1", "2", "3", "4", "A", "B", "C"}, int64(3), []string{"L1", "L2", "L3"}, nil, nil}}},
		"boards":   {{Line: 2, Cells: []any{"MB-100", "Marl", "Control MB-100", nil}}, {Line: 4, Cells: []any{"MB-200", "Marl", "Control MB-200", nil}}},
		"revisions": {
			{Line: 2, Cells: []any{"MB-100", "issue 1", int64(1), nil, nil, nil, nil, nil, nil, []float64{50, 60}, nil, nil}},
			{Line: 4, Cells: []any{"MB-200", "issue 2", int64(2), nil, nil, nil, nil, nil, nil, []float64{50}, nil, nil}},
		},
		"models": {
			{Line: 2, Cells: []any{"Ondral", "DW 40", "P-1", "dishwasher", day(2004, 9, 17), day(2006, 12, 31), 230.0, nil, nil}},
			{Line: 2, Cells: []any{"Ondral", "DW 41", "P-2", "dishwasher", day(2004, 9, 17), day(2006, 12, 31), 230.0, nil, nil}},
			{Line: 3, Cells: []any{"Ondral", "DW 50", "P-3", "dishwasher", day(2005, 1, 1), nil, 230.0, nil, nil}},
			{Line: 4, Cells: []any{"Vask", "WM 7", nil, "washer", day(2005, 1, 1), nil, nil, nil, nil}},
		},
		"builds": {
			{Line: 2, Cells: []any{"Ondral", "DW 40", "P-1", "all", day(2004, 9, 17), day(2006, 12, 31), nil, nil, nil, "MB-100", nil, nil, []string{"hot-fill", "cold-fill"}, nil}},
			{Line: 2, Cells: []any{"Ondral", "DW 41", "P-2", "all", day(2004, 9, 17), day(2006, 12, 31), nil, nil, nil, "MB-100", nil, nil, []string{"hot-fill", "cold-fill"}, nil}},
			{Line: 3, Cells: []any{"Ondral", "DW 50", "P-3", "all", day(2005, 1, 1), nil, nil, nil, nil, "MB-100", nil, nil, []string{}, nil}},
			{Line: 4, Cells: []any{"Vask", "WM 7", nil, "all", day(2005, 1, 1), nil, nil, nil, nil, "MB-200", nil, nil, []string{"hot-fill"}, nil}},
		},
		"loads": {
			{Line: 2, Cells: []any{"Ondral", "DW 40", "P-1", nil, "heater", 1850.5, nil, nil}},
			{Line: 2, Cells: []any{"Ondral", "DW 41", "P-2", nil, "heater", 1850.5, nil, nil}},
			{Line: 3, Cells: []any{"Ondral", "DW 50", "P-3", nil, "heater", 2000.0, nil, nil}},
		},
		"configurations": {
			{Line: 2, Cells: []any{"Marl", "Ondral", "DW 40", "P-1", nil, nil, nil, []string{"1", "A", "4"}, "10f", nil}},
			{Line: 2, Cells: []any{"Marl", "Ondral", "DW 41", "P-2", nil, nil, nil, []string{"1", "A", "4"}, "10f", nil}},
			{Line: 3, Cells: []any{"Marl", "Ondral", "DW 50", "P-3", nil, nil, nil, []string{"2", "B", "3"}, "010", nil}},
			{Line: 4, Cells: []any{"Marl", "Vask", "WM 7", nil, nil, nil, nil, []string{"3", "C", "1"}, "ff1", nil}},
		},
	}
	if diff := cmp.Diff(want, store.staged); diff != "" {
		t.Errorf("staged (-want +got):\n%s", diff)
	}
}

// TestMappedFindings runs the cases of testdata/supplied, which are written as
// those of TestFindings are: the table or its mapping with something broken.
func TestMappedFindings(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"table.txt", "mapping.txt"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			golden(t, filepath.Join("testdata/supplied", name), func(edits []string) *importer.Report {
				files := supplied(t)
				for _, line := range edits {
					edit(t, files, line)
				}
				report, _ := importMapped(t, files)
				return report
			})
		})
	}
}

// The worked example: a wide table of 200 models.
func TestWideTable(t *testing.T) {
	t.Parallel()
	const dir = "../cmd/standin/demo/wide/"
	store := &memory{}
	report, err := importer.Run(context.Background(), store, []string{dir + "tarn.csv"}, importer.Options{Map: dir + "tarn.yaml"})
	must(t, err)
	if got := findingLines(report); got != "" || !report.Committed {
		t.Errorf("findings:\n%s", got)
	}
	if models, codes := len(store.staged["models"]), len(store.staged["configurations"]); models != 200 || codes != 200 {
		t.Errorf("%d models and %d configurations, want 200 of each", models, codes)
	}
	if got := strings.Join(store.staged["configurations"][0].Cells[7].([]string), ""); got != "3866" {
		t.Errorf("the first code is %s", got)
	}
}

// The same table as a sheet of a workbook: with real dates and numbers, which
// no declared form is for, and a header over merged cells.
func TestMappedWorkbook(t *testing.T) {
	t.Parallel()
	path := book(t, "Notes", func(f *excelize.File) {
		_, err := f.NewSheet("Marl 3")
		must(t, err)
		setRow(t, f, "Marl 3", "A3", "", "", "Built", "", "Lamps")
		must(t, f.MergeCell("Marl 3", "C3", "D3"))
		setRow(t, f, "Marl 3", "A4", "Maker", "Model", "from", "to", "L1", "L2", "Watts")
		setRow(t, f, "Marl 3", "A5", "Ondral", 4711, 38247, "12.2006", true, false, 1234.5)
		setRow(t, f, "Marl 3", "A6", "Ondral", "0815", "17.9.2004", nil, true, "maybe", "1.234,5")
		setStyle(t, f, "Marl 3", "C5", "dd.mm.yyyy")
	})
	mapping := filepath.Join(t.TempDir(), "marl.yaml")
	must(t, os.WriteFile(mapping, []byte(`
table: {sheet: marl 3, header: [3, 4]}
rows:
  - file: models
    columns: {brand: &b Maker, model: &m Model, made_from: {column: Built from, date: D.M.YYYY}, made_to: {column: Built to, date: MM.YYYY}}
  - file: loads
    columns: {brand: *b, model: *m, circuit: {constant: heater}, watts: {column: Watts, decimal: comma}}
  - file: configurations
    columns:
      family: {constant: Marl}
      brand: *b
      model: *m
      code: {constant: "1"}
      pattern: {columns: [Lamps L1, Lamps L2], ticks: {lit: true, unlit: false}}
`), 0o600))
	store := &memory{}
	report, err := importer.Run(context.Background(), store, []string{path}, importer.Options{Map: mapping})
	must(t, err)
	want := strings.Join([]string{
		`warning Notes:0 unknown-file: the sheet is not read: the mapping takes "Marl 3"`,
		"warning book.xlsx:0 merged-cells: cells are merged (C3:D3); what they say counts for the first of them alone, the others are empty",
		`error book.xlsx:6 Lamps L2 bad-value: "maybe" is not one of the ticks of the mapping (false, true)`,
	}, "\n")
	if diff := cmp.Diff(want, findingLines(report)); diff != "" {
		t.Errorf("findings (-want +got):\n%s", diff)
	}
	day := standin.NewDate
	models := []standin.Row{
		{Line: 5, Cells: []any{"Ondral", "4711", nil, nil, day(2004, 9, 17), day(2006, 12, 31), nil, nil, nil}},
		{Line: 6, Cells: []any{"Ondral", "0815", nil, nil, day(2004, 9, 17), nil, nil, nil, nil}},
	}
	if diff := cmp.Diff(models, store.staged["models"]); diff != "" {
		t.Errorf("models (-want +got):\n%s", diff)
	}
	if a, b := store.staged["loads"][0].Cells[5], store.staged["loads"][1].Cells[5]; a != 1234.5 || b != 1234.5 {
		t.Errorf("watts %v and %v", a, b)
	}
}

// What is found in the whole is said of the supplier's line and column, once;
// of a constant at its line in the mapping.
func TestMappedReferences(t *testing.T) {
	t.Parallel()
	files := supplied(t)
	files["mapping.yaml"] = strings.Replace(files["mapping.yaml"], "      hertz: {", "      layout: {constant: nowhere}\n      hertz: {", 1)
	files["mapping.yaml"] = strings.Replace(files["mapping.yaml"], "      part_number: Part\n      needs", "      part_number: {template: \"{Part}x\"}\n      needs", 1)
	dir := folderOf(t, files)
	report, err := importer.Run(context.Background(), openDatabase(t), []string{filepath.Join(dir, "table.csv")},
		importer.Options{Map: filepath.Join(dir, "mapping.yaml")})
	must(t, err)
	want := strings.Join([]string{
		`error mapping.yaml:20 layout unknown-reference`, `error table.csv:2 Part unknown-reference`,
		`error table.csv:3 Part unknown-reference`, `error table.csv:4 Part unknown-reference`,
	}, "\n")
	var got []string
	for _, line := range strings.Split(findingLines(report), "\n") {
		place, message, _ := strings.Cut(line, ": ")
		if got = append(got, place); strings.Contains(message, "(builds)") {
			t.Errorf("a message names the derived file: %s", message)
		}
	}
	if diff := cmp.Diff(want, strings.Join(got, "\n")); diff != "" {
		t.Errorf("findings (-want +got):\n%s\n%s", diff, findingLines(report))
	}
}

// The worked example on a real database: in once, the same again changes nothing.
func TestWideTableOnDatabase(t *testing.T) {
	t.Parallel()
	const dir = "../cmd/standin/demo/wide/"
	store := openDatabase(t)
	for _, want := range []string{"as import ", "the catalogue has all of it already, nothing changes."} {
		report, err := importer.Run(context.Background(), store, []string{dir + "tarn.csv"}, importer.Options{Map: dir + "tarn.yaml"})
		must(t, err)
		if got := findingLines(report); report.Errors > 0 || !strings.Contains(report.Summary(), want) {
			t.Errorf("%s\n%s", report.Summary(), got)
		}
	}
}

// A mapping that is larger than any honest one is not read to its end.
func TestHugeMapping(t *testing.T) {
	t.Parallel()
	files := supplied(t)
	whole := files["mapping.yaml"]
	for text, want := range map[string]string{
		strings.Replace(whole, "header: 1", "skip: [7"+strings.Repeat(",7", 60_000)+"]", 1): "the mapping has more than 50000 values; say less with aliases",
		whole + strings.Repeat("#", 1<<20):                                                  "the mapping is larger than 1024 KiB; probably it is another file",
	} {
		files["mapping.yaml"] = text
		report, store := importMapped(t, files)
		if report.Errors == 0 || report.Findings[0].Message != want || store.ended != nil {
			t.Errorf("findings:\n%s\nwant: %s", findingLines(report), want)
		}
	}
}

// A misprint in a supplier's table is said once of its row, however many models
// the row names, and of the supplier's columns.
func TestMappedMisprint(t *testing.T) {
	t.Parallel()
	const dir = "../cmd/standin/demo/wide/"
	text, err := os.ReadFile(dir + "tarn.csv")
	must(t, err)
	broken := strings.Replace(string(text), ";3;8;6;6;", ";3;8;5;6;", 1)
	path := filepath.Join(folderOf(t, map[string]string{"tarn.csv": broken}), "tarn.csv")
	report, err := importer.Run(context.Background(), openDatabase(t), []string{path}, importer.Options{Map: dir + "tarn.yaml", Check: true})
	must(t, err)
	got := report.Findings
	if report.Errors != 0 || report.Warnings != 1 || got[0].Code != "likely-misprint" || got[0].File != "tarn.csv" || got[0].Line != 5 ||
		got[0].Column != "Code 1, Code 2, Code 3, Code 4" || got[0].Correction != "3 8 6 6" {
		t.Errorf("%d errors, %d warnings:\n%s", report.Errors, report.Warnings, findingLines(report))
	}
}
