package mapping_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// What a supplier's table becomes.
func TestMapped(t *testing.T) {
	t.Parallel()
	report, store := importertest.RunMapped(t, importertest.Supplied(t))
	if got := importertest.FindingLines(report); got != "" {
		t.Errorf("findings:\n%s", got)
	}
	day, absent := standin.NewDate, standin.Absent{}
	want := map[string][]standin.Row{
		"families": {{Line: 2, Cells: []any{"Marl", absent, absent, absent, []string{"1", "2", "3", "4", "A", "B", "C"}, int64(3), []string{"L1", "L2", "L3"}, absent, absent, absent, absent}}},
		"boards":   {{Line: 2, Cells: []any{"MB-100", "Marl", absent, "Control MB-100", absent}}, {Line: 4, Cells: []any{"MB-200", "Marl", absent, "Control MB-200", absent}}},
		"revisions": {
			{Line: 2, Cells: []any{"MB-100", "issue 1", int64(1), absent, absent, absent, absent, absent, absent, []float64{50, 60}, absent, absent}},
			{Line: 4, Cells: []any{"MB-200", "issue 2", int64(2), absent, absent, absent, absent, absent, absent, []float64{50}, absent, absent}},
		},
		"models": {
			{Line: 2, Cells: []any{"Ondral", "DW 40", "P-1", "dishwasher", day(2004, 9, 17), day(2006, 12, 31), "230", absent, absent, absent}},
			{Line: 2, Cells: []any{"Ondral", "DW 41", "P-2", "dishwasher", day(2004, 9, 17), day(2006, 12, 31), "230", absent, absent, absent}},
			{Line: 3, Cells: []any{"Ondral", "DW 50", "P-3", "dishwasher", day(2005, 1, 1), nil, "230", absent, absent, absent}},
			{Line: 4, Cells: []any{"Vask", "WM 7", nil, "washer", day(2005, 1, 1), nil, nil, absent, absent, absent}},
		},
		"builds": {
			{Line: 2, Cells: []any{"Ondral", "DW 40", "P-1", nil, "all", day(2004, 9, 17), day(2006, 12, 31), absent, absent, absent, "MB-100", absent, absent, []string{"hot-fill", "cold-fill"}, absent}},
			{Line: 2, Cells: []any{"Ondral", "DW 41", "P-2", nil, "all", day(2004, 9, 17), day(2006, 12, 31), absent, absent, absent, "MB-100", absent, absent, []string{"hot-fill", "cold-fill"}, absent}},
			{Line: 3, Cells: []any{"Ondral", "DW 50", "P-3", nil, "all", day(2005, 1, 1), nil, absent, absent, absent, "MB-100", absent, absent, []string{}, absent}},
			{Line: 4, Cells: []any{"Vask", "WM 7", nil, nil, "all", day(2005, 1, 1), nil, absent, absent, absent, "MB-200", absent, absent, []string{"hot-fill"}, absent}},
		},
		"loads": {
			{Line: 2, Cells: []any{"Ondral", "DW 40", "P-1", nil, nil, "heater", 1850.5, absent, absent, absent, absent, absent, absent, absent}},
			{Line: 2, Cells: []any{"Ondral", "DW 41", "P-2", nil, nil, "heater", 1850.5, absent, absent, absent, absent, absent, absent, absent}},
			{Line: 3, Cells: []any{"Ondral", "DW 50", "P-3", nil, nil, "heater", 2000.0, absent, absent, absent, absent, absent, absent, absent}},
		},
		"configurations": {
			{Line: 2, Cells: []any{"Marl", "Ondral", "DW 40", "P-1", nil, nil, absent, []string{"1", "A", "4"}, "10f", absent}},
			{Line: 2, Cells: []any{"Marl", "Ondral", "DW 41", "P-2", nil, nil, absent, []string{"1", "A", "4"}, "10f", absent}},
			{Line: 3, Cells: []any{"Marl", "Ondral", "DW 50", "P-3", nil, nil, absent, []string{"2", "B", "3"}, "010", absent}},
			{Line: 4, Cells: []any{"Marl", "Vask", "WM 7", nil, nil, nil, absent, []string{"3", "C", "1"}, "ff1", absent}},
		},
	}
	if diff := cmp.Diff(want, store.Staged); diff != "" {
		t.Errorf("staged (-want +got):\n%s", diff)
	}
}

// TestMappedFindings runs the cases of testdata/supplied, which are written as
// those of TestFindings are: the table or its mapping with something broken.
func TestMappedFindings(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"table.txt", "mapping.txt", "shape.txt"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			importertest.Golden(t, filepath.Join("testdata", name), func(edits []string) *importer.Report {
				files := importertest.Supplied(t)
				for _, line := range edits {
					importertest.Edit(t, files, line)
				}
				report, _ := importertest.RunMapped(t, files)
				return report
			})
		})
	}
}

// The worked example: a wide table of 200 models.
func TestWideTable(t *testing.T) {
	t.Parallel()
	const dir = "../../cmd/standin/demo/wide/"
	store := &importertest.Store{}
	report, err := importer.Run(context.Background(), store, []string{dir + "tarn.csv"}, importer.Options{Map: dir + "tarn.yaml"})
	importertest.Must(t, err)
	if got := importertest.FindingLines(report); got != "" || !report.Committed {
		t.Errorf("findings:\n%s", got)
	}
	if models, codes := len(store.Staged["models"]), len(store.Staged["configurations"]); models != 200 || codes != 200 {
		t.Errorf("%d models and %d configurations, want 200 of each", models, codes)
	}
	if got := strings.Join(store.Staged["configurations"][0].Cells[7].([]string), ""); got != "3866" {
		t.Errorf("the first code is %s", got)
	}
}

// The same table as a sheet of a workbook: with real dates and numbers, which
// no declared form is for, and a header over merged cells.
func TestMappedWorkbook(t *testing.T) {
	t.Parallel()
	path := importertest.Workbook(t, "Notes", func(f *excelize.File) {
		_, err := f.NewSheet("Marl 3")
		importertest.Must(t, err)
		importertest.SetRow(t, f, "Marl 3", "A3", "", "", "Built", "", "Lamps")
		importertest.Must(t, f.MergeCell("Marl 3", "C3", "D3"))
		importertest.SetRow(t, f, "Marl 3", "A4", "Maker", "Model", "from", "to", "L1", "L2", "Watts")
		importertest.SetRow(t, f, "Marl 3", "A5", "Ondral", 4711, 38247, "12.2006", true, false, 1234.5)
		importertest.SetRow(t, f, "Marl 3", "A6", "Ondral", "0815", "17.9.2004", nil, true, "maybe", "1.234,5")
		importertest.SetStyle(t, f, "Marl 3", "C5", "dd.mm.yyyy")
	})
	mapping := filepath.Join(t.TempDir(), "marl.yaml")
	importertest.Must(t, os.WriteFile(mapping, []byte(`
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
	store := &importertest.Store{}
	report, err := importer.Run(context.Background(), store, []string{path}, importer.Options{Map: mapping})
	importertest.Must(t, err)
	want := strings.Join([]string{
		`warning Notes:0 unknown-file: the sheet is not read: the mapping takes "Marl 3"`,
		"warning book.xlsx:0 merged-cells: cells are merged (C3:D3); what they say counts for the first of them alone, the others are empty",
		`error book.xlsx:6 Lamps L2 bad-value: "maybe" is not one of the ticks of the mapping (false, true)`,
	}, "\n")
	if diff := cmp.Diff(want, importertest.FindingLines(report)); diff != "" {
		t.Errorf("findings (-want +got):\n%s", diff)
	}
	day, absent := standin.NewDate, standin.Absent{}
	models := []standin.Row{
		{Line: 5, Cells: []any{"Ondral", "4711", nil, absent, day(2004, 9, 17), day(2006, 12, 31), absent, absent, absent, absent}},
		{Line: 6, Cells: []any{"Ondral", "0815", nil, absent, day(2004, 9, 17), nil, absent, absent, absent, absent}},
	}
	if diff := cmp.Diff(models, store.Staged["models"]); diff != "" {
		t.Errorf("models (-want +got):\n%s", diff)
	}
	if a, b := store.Staged["loads"][0].Cells[6], store.Staged["loads"][1].Cells[6]; a != 1234.5 || b != 1234.5 {
		t.Errorf("watts %v and %v", a, b)
	}
}

// A mapping that is larger than any honest one is not read to its end.
func TestHugeMapping(t *testing.T) {
	t.Parallel()
	files := importertest.Supplied(t)
	whole := files["mapping.yaml"]
	for text, want := range map[string]string{
		strings.Replace(whole, "header: 1", "skip: [7"+strings.Repeat(",7", 60_000)+"]", 1): "the mapping has more than 50000 values; say less with aliases",
		whole + strings.Repeat("#", 1<<20):                                                  "the mapping is larger than 1024 KiB; probably it is another file",
	} {
		files["mapping.yaml"] = text
		report, store := importertest.RunMapped(t, files)
		if report.Errors == 0 || report.Findings[0].Message != want || store.Ended != nil {
			t.Errorf("findings:\n%s\nwant: %s", importertest.FindingLines(report), want)
		}
	}
}

// Points that show digits and colours are taken from a column each, or from one
// column with the whole pattern.
func TestMappedDigitsAndColours(t *testing.T) {
	dir := t.TempDir()
	path, mapping := filepath.Join(dir, "table.csv"), filepath.Join(dir, "mapping.yaml")
	for _, test := range []struct {
		name, pattern, last, finding string
	}{
		{"a column each", "{columns: [P1, P2, P3], ticks: {lit: x, unlit: o, either: any, filled: itself}}", "any", ""},
		{"one column", "{column: All}", "any", ""},
		{"what no point can show", "{columns: [P1, P2, P3], ticks: {lit: x, unlit: o, filled: itself}}", "purple",
			`error table.csv:3 P3 bad-value: "purple" is no digit, no letter and no colour that a read-back point can show`},
		{"a colour that the point cannot show", "{columns: [P1, P2, P3], ticks: {lit: x, unlit: o, filled: itself}}", "blue",
			`error table.csv:3 P1, P2, P3 bad-value: the pattern "71b" holds "b" at read-back point 3, which shows one of 0 r g, or - for either`},
	} {
		t.Run(test.name, func(t *testing.T) {
			importertest.Must(t, os.WriteFile(path, []byte("Maker,Model,P1,P2,P3,All\nOndral,4711,2,x,Red,21r\nOndral,0815,7,x,"+test.last+",71-\n"), 0o600))
			importertest.Must(t, os.WriteFile(mapping, []byte(`rows:
  - file: families
    columns: {family: {constant: Marl}, selector: {constant: A B}, code_length: {constant: "1"}, readback: {constant: D1 D2 L}, alphabet: {constant: digit lamp red-green}}
  - file: models
    columns: {brand: &b Maker, model: &m Model}
  - file: configurations
    columns: {family: {constant: Marl}, brand: *b, model: *m, code: {constant: "A"}, pattern: `+test.pattern+`}
`), 0o600))
			store := &importertest.Store{}
			report, err := importer.Run(context.Background(), store, []string{path}, importer.Options{Map: mapping})
			importertest.Must(t, err)
			report.Findings = slices.DeleteFunc(report.Findings, func(f standin.Finding) bool { return f.Code == standin.UnknownColumn })
			if diff := cmp.Diff(test.finding, importertest.FindingLines(report)); diff != "" {
				t.Errorf("findings (-want +got):\n%s", diff)
			}
			if test.finding != "" {
				return
			}
			var patterns []any
			for _, row := range store.Staged["configurations"] {
				patterns = append(patterns, row.Cells[8])
			}
			if diff := cmp.Diff([]any{"21r", "71-"}, patterns); diff != "" {
				t.Errorf("patterns (-want +got):\n%s", diff)
			}
		})
	}
}
