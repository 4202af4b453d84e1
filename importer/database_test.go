package importer_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/importer"
	"standin/importer/importertest"
)

// database is a catalogue, for questions, and where its bundles go in.
type database struct {
	*db.DB
	*bundle.Store
}

func openDatabase(t *testing.T) database {
	t.Helper()
	catalogue, err := db.Open(context.Background(), dbtest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(catalogue.Close)
	return database{catalogue, bundle.NewStore(catalogue)}
}

func versionOf(t *testing.T, store standin.Catalogue) int64 {
	t.Helper()
	state, err := store.State(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return state.Catalogue
}

// The whole way on a real database: a check commits nothing, the import goes in
// once, and undoing it leaves nothing.
func TestOnDatabase(t *testing.T) {
	t.Parallel()
	ctx, store := context.Background(), openDatabase(t)
	path := importertest.Folder(t, importertest.ValidBundle(t))
	step := func(check bool) *importer.Report {
		t.Helper()
		report, err := importer.Run(ctx, store, []string{path}, importer.Options{By: "keeper", Check: check})
		if err != nil {
			t.Fatal(err)
		}
		if report.Errors > 0 {
			t.Fatalf("the valid bundle: %s", importertest.FindingLines(report))
		}
		return report
	}

	before := versionOf(t, store)
	checked := step(true)
	if checked.Committed || versionOf(t, store) != before {
		t.Errorf("a check committed something: %+v", checked.Import)
	}
	first := step(false)
	if !first.Committed || first.Import.ID == 0 || first.Import.By != "keeper" || versionOf(t, store) == before {
		t.Errorf("the import: %+v", first.Import)
	}
	if diff := cmp.Diff(checked.Files, first.Files); diff != "" {
		t.Errorf("the check foresaw other changes (-check +import):\n%s", diff)
	}
	if len(first.Files) != len(standin.Files) {
		t.Errorf("%d files changed, want %d", len(first.Files), len(standin.Files))
	}
	for i, f := range first.Files {
		if f.Added != first.Read[i].Rows || f.Changed+f.Removed+f.Unchanged != 0 {
			t.Errorf("%s: %+v of %d rows", f.File, f, first.Read[i].Rows)
		}
	}
	second := step(false)
	if second.Import.ID != 0 || !strings.Contains(second.Summary(), "nothing changes") {
		t.Errorf("the same bundle again: %s %+v", second.Summary(), second.Files)
	}
	if _, err := store.Undo(ctx, first.Import.ID, standin.UndoRequest{By: "keeper"}); err != nil {
		t.Fatal(err)
	}
	again := step(true)
	if diff := cmp.Diff(checked.Files, again.Files); diff != "" {
		t.Errorf("after undoing, the bundle changes other things (-before +after):\n%s", diff)
	}
}

// faultsOnDatabase are the valid bundle with something broken.
var faultsOnDatabase = []struct {
	name  string
	edits []string // as in testdata/findings
	want  string   // place and code of each finding
}{
	{"a bad date of a build", []string{"change builds.csv: 2000,2001 -> 2000,1.1.01"}, "builds.csv:2 made_to bad-value"},
	{"an open build with a bad date", []string{"change builds.csv: b2,2002 -> b2,'02"}, "builds.csv:3 made_from bad-value"},
	{"a bad end of a range of issues", []string{"change configurations.csv: ,1,2,1 A -> ,1,two,1 A"}, "configurations.csv:2 issue_to bad-value"},
	{"a board with a bad GTIN", []string{"change boards.csv: 6291041500213 -> 1"}, "boards.csv:2 gtin bad-value"},
	{"a board with a cell too many", []string{"change boards.csv: Control MB-100 -> Control, MB-100"}, "boards.csv:2 bad-value"},
	{"a family with a bad length", []string{"change families.csv: C,3,L1 -> C,three,L1"}, "families.csv:2 code_length bad-value"},
	{"a family with a symbol twice", []string{"change families.csv: 1 2 3 4 -> 1 2 2 4"}, "families.csv:2 selector bad-value"},
	{"families without lengths", []string{"change families.csv: code_length -> length"}, "families.csv:1 length unknown-column\nfamilies.csv:1 code_length missing-column"},
	{"a symbol that is not on the selector", []string{"change configurations.csv: 1 A 4 -> 1 X 4"}, "configurations.csv:2 code unknown-symbol"},
	{"a pattern too short", []string{"change configurations.csv: 0110 -> 110"}, "configurations.csv:3 pattern wrong-length"},
	{"no code", []string{"change configurations.csv: 1 A 4 ->"}, "configurations.csv:2 code missing-value"},
	{"a revision without a part", []string{"change builds.csv: MB-100,r1 -> ,r1"}, "builds.csv:2 part_number missing-value"},
	{"a part superseded by itself", []string{"change supersessions.csv: MB-100,MB-200 -> MB-100,MB-100"}, "supersessions.csv:2 new_part circle"},
	{"a twin of itself", []string{"change twins.csv: Ondral,DW 40 -> Quelm,QD 40"}, "twins.csv:2 of_model circle"},
	{"a twin of a half-named model", []string{"change twins.csv: Ondral,DW 40 -> Ondral,"}, "twins.csv:2 of_model missing-value"},
	{"twins without a column", []string{"change twins.csv: of_model -> of"}, "twins.csv:1 of unknown-column\ntwins.csv:1 of_model missing-column"},
	{"another length of codes", []string{"change families.csv: C,3,L1 -> C,2,L1"}, "configurations.csv:2 code wrong-length\nconfigurations.csv:3 code wrong-length"},
	{"another length of patterns", []string{"change families.csv: L1 L2 L3 L4 -> L1 L2 L3"}, "configurations.csv:2 pattern wrong-length\nconfigurations.csv:3 pattern wrong-length"},
	{"another selector", []string{"change families.csv: 1 2 3 4 A B C -> 1 3 4 A B C"}, "configurations.csv:3 code unknown-symbol"},
	{"an unknown family", []string{"change configurations.csv: Tarn -> Torn"}, "configurations.csv:4 family unknown-reference"},
	{"ways and circuits", []string{"change layouts.csv: mains-l mains-n . -> mains-l"}, "layouts.csv:2 circuits ways-mismatch"},
	{"the one connector of a layout without a marking", []string{`change layouts.csv: board A,CN3,2,2.5,,\n ->`, "change layouts.csv: board A,CN1 -> board A,"}, "layouts.csv:4 connector missing-value"},
	{"a procedure without a step that is right", []string{`file procedures.csv: procedure,phase,step\ndial,entre,one\n`}, "procedures.csv:2 phase bad-value\nprocedures.csv:2 step bad-value"},
	{"an unreadable file", []string{"file layouts.csv:"}, "layouts.csv:0 unreadable-file"},
	{"models without a brand", []string{"change models.csv: brand -> make"}, "models.csv:1 make unknown-column\nmodels.csv:1 brand missing-column"},
	{"a quotation mark that is never closed", []string{`change boards.csv: Control MB-100 -> "Control`}, "boards.csv:2 unreadable-file"},
	{"a key twice", []string{"append sources.csv: Sheet 7,again,,"}, "sources.csv:3 source duplicate-key"},
	{"faults of many kinds", []string{"change boards.csv: 6291041500213 -> 1", "append sources.csv: Sheet 7,again,,",
		"change stock.csv: used,0 -> used,x"},
		"sources.csv:3 source duplicate-key\nboards.csv:2 gtin bad-value\nstock.csv:3 quantity bad-value"},
}

// Faults of rows and of the whole are found in one run, each once, each at its
// place, and nothing because of another: in an empty catalogue, and in one that
// has the same bundle without them.
func TestFaultsOnDatabase(t *testing.T) {
	t.Parallel()
	for _, stored := range []bool{false, true} {
		t.Run(fmt.Sprintf("stored=%t", stored), func(t *testing.T) {
			t.Parallel()
			store := openDatabase(t)
			if stored && !importertest.RunBundle(t, store, importertest.ValidBundle(t)).Committed {
				t.Fatal("the valid bundle is not committed")
			}
			findOnDatabase(t, store)
		})
	}
}

func findOnDatabase(t *testing.T, store database) {
	for _, c := range faultsOnDatabase {
		bundle := importertest.ValidBundle(t)
		for _, line := range c.edits {
			importertest.Edit(t, bundle, line)
		}
		report := importertest.RunBundle(t, store, bundle)
		var got []string
		for _, line := range strings.Split(importertest.FindingLines(report), "\n") {
			if strings.HasPrefix(line, "warning ") && !strings.Contains(line, standin.UnknownColumn) {
				continue // it is odd as well, which is no fault
			}
			place, _, _ := strings.Cut(line, ": ")
			_, place, _ = strings.Cut(place, " ")
			got = append(got, place)
		}
		if diff := cmp.Diff(c.want, strings.Join(got, "\n")); diff != "" {
			t.Errorf("%s: findings (-want +got):\n%s\n%s", c.name, diff, importertest.FindingLines(report))
		}
		if report.Committed || report.Errors == 0 {
			t.Fatalf("%s: committed %t with %d errors", c.name, report.Committed, report.Errors)
		}
	}
}

// The same rows in another dress, as a zip of UTF-16 with semicolons and CRLF,
// are the same rows.
func TestAnotherDressOnDatabase(t *testing.T) {
	t.Parallel()
	store, bundle := openDatabase(t), importertest.ValidBundle(t)
	if report := importertest.RunBundle(t, store, bundle); !report.Committed {
		t.Fatalf("the valid bundle: %s", importertest.FindingLines(report))
	}
	var entries []importertest.Entry
	for name, text := range bundle {
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		w := csv.NewWriter(transform.NewWriter(&b, unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder()))
		w.Comma, w.UseCRLF = ';', true
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		entries = append(entries, importertest.Entry{Name: "Bundle/" + strings.ToUpper(name), Text: b.String()})
	}
	report, err := importer.Run(context.Background(), store, []string{importertest.Zip(t, entries...)}, importer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if report.Errors > 0 || report.Import.ID != 0 || len(report.Read) != len(standin.Files) {
		t.Errorf("%s %s", report.Summary(), importertest.FindingLines(report))
	}
	for _, f := range report.Read {
		if f.Encoding != "UTF-16LE" || f.Delimiter != "semicolon" {
			t.Errorf("read as %s", f)
		}
	}
}
