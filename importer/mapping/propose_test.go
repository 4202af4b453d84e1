package mapping_test

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

func propose(t testing.TB, path string, o importer.ProposeOptions) string {
	t.Helper()
	text, err := importer.Propose(context.Background(), path, o)
	importertest.Must(t, err)
	return text
}

// What is proposed for the wide table is kept as text; the same again is the same.
func TestPropose(t *testing.T) {
	t.Parallel()
	got := propose(t, "../../cmd/standin/demo/wide/tarn.csv", importer.ProposeOptions{Family: "Tarn 6"})
	if again := propose(t, "../../cmd/standin/demo/wide/tarn.csv", importer.ProposeOptions{Family: "Tarn 6"}); again != got {
		t.Error("the same table gives another proposal")
	}
	const path = "testdata/proposal.yaml"
	if flag.Lookup("update").Value.String() == "true" {
		importertest.Must(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	importertest.Must(t, err)
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("proposal (-want +got):\n%s", diff)
	}
	if err := mappingSchema(t).Validate(asJSON(t, got)); err != nil {
		t.Errorf("the schema refuses it: %v", err)
	}
}

// A proposal whose gaps a person has filled takes the table in as the mapping
// made by hand does.
func TestProposalIsOfUse(t *testing.T) {
	t.Parallel()
	const table = "../../cmd/standin/demo/wide/tarn.csv"
	text := propose(t, table, importer.ProposeOptions{Family: "Tarn 6"})
	for _, change := range [][2]string{{`unlit: ["–"]`, `unlit: ["–"]` + "\n          flashing: [○]"}} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the proposal has no %s:\n%s", change[0], text)
		}
		text = strings.Replace(text, change[0], change[1], 1)
	}
	path := filepath.Join(t.TempDir(), "map.yaml")
	importertest.Must(t, os.WriteFile(path, []byte(text), 0o600))
	proposed, byHand := &importertest.Store{}, &importertest.Store{}
	for store, mapping := range map[*importertest.Store]string{proposed: path, byHand: "../../cmd/standin/demo/wide/tarn.yaml"} {
		report, err := importer.Run(context.Background(), store, []string{table}, importer.Options{Map: mapping})
		importertest.Must(t, err)
		if report.Errors > 0 {
			t.Fatalf("%s:\n%s", mapping, importertest.FindingLines(report))
		}
	}
	for _, rows := range proposed.Staged["configurations"] {
		rows.Cells[9] = "Tarn 6 set-up table" // the table does not say its source
	}
	if diff := cmp.Diff(byHand.Staged["configurations"], proposed.Staged["configurations"]); diff != "" {
		t.Errorf("configurations (-by hand +proposed):\n%s", diff)
	}
}

// What is not filled in is refused, with its line.
func TestProposalUnfilled(t *testing.T) {
	t.Parallel()
	files := importertest.Supplied(t)
	dir := importertest.Folder(t, files)
	files["mapping.yaml"] = propose(t, filepath.Join(dir, "table.csv"), importer.ProposeOptions{})
	report, _ := importertest.RunMapped(t, files)
	if got := importertest.FindingLines(report); report.Errors < 2 || strings.Count(got, "is still to be written in place of the question mark") != report.Errors {
		t.Errorf("findings:\n%s", got)
	}
}

// What a column is taken for, by its header and its values.
func TestProposedColumns(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		header string
		values []any
		want   string // in the proposal
	}{
		"by its header":               {"Manufacturer", []any{"Ondral", "Vask"}, `brand: &brand {column: Manufacturer} # sure`},
		"by a word of it":             {"Our brand name", []any{"Ondral", "Vask"}, `brand: &brand {column: Our brand name} # likely`},
		"a date by its values too":    {"Built from", []any{"09/2004", "2005"}, `made_from: &made_from {column: Built from, date: [MM/YYYY]} # sure`},
		"dates that do not look it":   {"From", []any{"Norway", "Sweden"}, "# not used: column B, From: its header may mean made_from, but its values do not look it"},
		"a day or a month first":      {"From", []any{"03/04/2004", "05/06/2005"}, "which of day and month comes first is a guess"},
		"a month that is above 12":    {"From", []any{"03/24/2004", "05/26/2005"}, "date: [MM/DD/YYYY]"},
		"real dates":                  {"From", []any{38247, 38250}, "# not used: column B, From"}, // numbers: they are shown as such
		"decimal commas and units":    {"Power", []any{"1.950,5 W", "2000 W"}, "watts: {column: Power, decimal: comma, unit: [W]}"},
		"GTINs without a header":      {"Ref", []any{"6291041500213", "7300011000017", "40987650000223"}, `gtin: {column: Ref} # likely: every value has the check digit`},
		"kilowatts":                   {"Power (kW)", []any{"1,8", "2,15"}, `watts: {column: "Power (kW)", decimal: comma, factor: 1000}`},
		"kilowatts in the cells":      {"Power", []any{"1.8 kW", "850 W"}, "watts: {column: Power, unit: {W: 1, kW: 1000}}"},
		"no kilowatts":                {"Power (kW)", []any{2000, 2150}, "the header says kW, which the values contradict: they are taken as W"},
		"milliamperes":                {"Current [mA]", []any{450, 44}, `amps: {column: "Current [mA]", factor: 0.001}`},
		"thousands by what is usual":  {"Power", []any{"2.000", "2.150"}, "watts: {column: Power, decimal: comma, thousands: point} # sure"},
		"thousands or decimals":       {"Resistance", []any{"20.100", "22.150"}, "whether the sign parts thousands or decimals is a guess"},
		"far from usual":              {"Power", []any{"1.8", "2.1"}, "as W the values would be far from usual"},
		"what tells nothing":          {"Remark", []any{"x y", "z"}, `# not used: column B, Remark`},
		"a header that YAML mistakes": {"No", []any{"x y", "z"}, `# not used: column B, "No"`},
	} {
		path := importertest.Workbook(t, "Sheet", func(f *excelize.File) {
			importertest.SetRow(t, f, "Sheet", "A1", "Models", c.header, "Part")
			for i, v := range c.values {
				importertest.SetRow(t, f, "Sheet", "A"+string(rune('2'+i)), "DW "+string(rune('1'+i)), v, "P")
			}
		})
		if got := propose(t, path, importer.ProposeOptions{}); !strings.Contains(got, c.want) {
			t.Errorf("%s: no %s in\n%s", name, c.want, got)
		}
	}
}

func TestNoProposal(t *testing.T) {
	t.Parallel()
	dir := importertest.Folder(t, map[string]string{"empty.csv": "", "header.csv": "Brand;Model\n", "zero.csv": "abc,def\nghi,jkl\x00\n", "old.xls": "x"})
	for name, want := range map[string]string{
		"absent.csv": "there is nothing at ",
		"empty.csv":  "it has no rows below its header",
		"header.csv": "it has no rows below its header",
		"zero.csv":   "the line holds a zero byte",
	} {
		_, err := importer.Propose(context.Background(), filepath.Join(dir, name), importer.ProposeOptions{})
		if standin.CodeOf(err) != standin.CodeBadRequest || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", name, err, want)
		}
	}
}

// A column with whole patterns stays as it is where they are of digits too; ticks
// would not say what they mean.
func TestProposedPatternOfDigits(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for pattern, want := range map[string]bool{"271": true, "2-f": true, "xox": false} {
		path := filepath.Join(dir, pattern+".csv")
		importertest.Must(t, os.WriteFile(path, []byte("Brand,Model,Code,Pattern\nOndral,4711,A B,"+pattern+"\nOndral,0815,B A,"+pattern+"\n"), 0o600))
		got := propose(t, path, importer.ProposeOptions{Family: "Marl"})
		if has := !strings.Contains(got, "ticks:"); has != want || !strings.Contains(got, "Pattern") {
			t.Errorf("%s: the column stays as it is: %v; want %v in\n%s", pattern, has, want, got)
		}
	}
}
