package tell

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestGolden(t *testing.T) {
	t.Parallel()
	for name, got := range goldens() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join("testdata", name+".txt")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("%s is told otherwise (-want +got):\n%s", name, diff)
			}
		})
	}
}

// TestEveryGoldenIsNeeded fails for a file that no case writes any more.
func TestEveryGoldenIsNeeded(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil {
		t.Fatal(err)
	}
	cases := goldens()
	for _, file := range files {
		if _, ok := cases[strings.TrimSuffix(filepath.Base(file), ".txt")]; !ok {
			t.Errorf("%s belongs to no case", file)
		}
	}
}

// TestWidth looks at every text there is, the crowded and hostile ones included.
func TestWidth(t *testing.T) {
	t.Parallel()
	for name, text := range goldens() {
		for i, line := range strings.Split(text, "\n") {
			if n := width(line); n > Width {
				t.Errorf("%s, line %d takes %d columns, more than %d:\n%s", name, i+1, n, Width, line)
			}
			if strings.HasSuffix(line, " ") || strings.Contains(line, nbsp) {
				t.Errorf("%s, line %d has spaces that do not belong there: %q", name, i+1, line)
			}
			if strings.ContainsAny(line, "\x1b\r\t\x00") {
				t.Errorf("%s, line %d has a control character: %q", name, i+1, line)
			}
		}
	}
}

func goldens() map[string]string {
	cases := map[string]string{}
	for name, c := range answerCases() {
		cases[name] = Answer(c.answer, c.detail)
	}
	board := sampleBoard()
	family := sampleFamily()
	cases["models"] = Models("corvane 640", sampleMatches())
	cases["models-none"] = Models("xyz", nil)
	cases["unknown-model"] = Unknown(sampleMatches())
	cases["board"] = Board(&board, []standin.ModelKey{washer, {Brand: "Corvane", Model: "DW 650"}}, true)
	cases["board-bare"] = Board(&standin.BoardRecord{Board: standin.Board{PartNumber: "FX-1"}}, nil, false)
	cases["family"] = Family(standin.PrepareFamily(family, 1))
	cases["family-codemap"] = Family(sampleMapped())
	cases["family-long-dial"] = Family(sampleLongDial())
	for name, told := range readingCases() {
		cases[name] = told
	}
	cases["families"] = Families([]standin.Family{family.Family, {Name: "SW"}})
	cases["families-none"] = Families(nil)
	cases["findings"] = Findings(sampleFindings(), 7, 1)
	cases["diff"] = Diff(sampleDiff(), true)
	cases["diff-summary"] = Diff(sampleDiff(), false)
	cases["imports"] = Imports(sampleImports())
	cases["imports-none"] = Imports(nil)
	return cases
}

func sampleMatches() []standin.ModelMatch {
	twin := standin.ModelKey{Brand: "Helmbrook", Model: "H64"}
	return []standin.ModelMatch{
		{ModelKey: washer, Kind: "dishwasher", Nearness: 1},
		{ModelKey: twin, Kind: "dishwasher", TwinOf: &washer, Nearness: 0.8},
		{ModelKey: standin.ModelKey{Brand: "Corvane", Model: `DW "64$`}, Nearness: 0.7},
	}
}

func sampleBoard() standin.BoardRecord {
	return standin.BoardRecord{
		Board: standin.Board{
			PartNumber: "QX-4410", Family: "QX", Title: "Wash control with a dial", GTIN: "4098765000022",
			Revisions: []standin.Revision{
				{
					Label: "A", Issue: standin.Known(1), Layout: plugsOf("QX wide", 10, 3), Stop: "recalled: the heater relay may weld shut",
					VoltsMin: standin.Known(207.0), VoltsMax: standin.Known(253.0), Hertz: standin.Known([]float64{50, 60}),
					Options: standin.Known([]string{}), Ratings: map[string]standin.Maybe[float64]{"motor": standin.Known(2.5), "heater": standin.Known(10.0)},
				},
				{Label: "B", Made: standin.Span{From: standin.Known(standin.NewDate(2003, 1, 1))}, VoltsMin: standin.Known(207.0), Procedure: "dial-2"},
			},
		},
		Supersessions: []standin.Supersession{
			{Old: "QX-4400", New: "QX-4410", TwoWay: true, From: standin.Known(standin.NewDate(2000, 6, 1))},
			{Old: "QX-4410", New: "QX-4420", Note: "needs adaptor LM-1"},
		},
		Markings: []standin.Marking{{Marking: "7731-02", PartNumber: "QX-4410", Revision: "A", Note: "bare board"}},
		Stock: []standin.Stock{
			{Location: "front", PartNumber: "QX-4410", Revision: "B", Condition: "new", Quantity: 2, Free: 2},
			{Location: "depot", PartNumber: "QX-4410", Condition: "used", Quantity: 1, Free: 1},
		},
	}
}

func sampleFamily() standin.FamilyRecord {
	families, procedures := samplePrograms()
	return standin.FamilyRecord{
		Family: *families["QX"], Steps: procedures["dial"], Boards: []string{"QX-4410", "QX-4420"},
		Configurations: []standin.Configuration{
			{Model: washer, Build: "b1", Code: strings.Fields("C A F"), Pattern: "10-1f011"}, {Model: washer, Build: "b2", Code: strings.Fields("C B F")},
		},
	}
}

func sampleFindings() []standin.Finding {
	return []standin.Finding{
		{
			Severity: standin.SeverityError, File: "boards.csv", Line: 12, Column: "family", Value: "QY", Code: standin.UnknownReference,
			Message: `family "QY" is neither in this bundle nor stored`, Correction: "QX",
		},
		{Severity: standin.SeverityError, File: "photo.csv", Code: standin.UnreadableFile, Message: "photo.csv is a picture, not a table"},
		{
			Severity: standin.SeverityWarning, File: "models.csv", Line: 1, Column: "colour", Code: standin.UnknownColumn,
			Message: `models.csv has a column "colour" that a bundle does not know; it is passed over`,
		},
	}
}

func sampleDiff() []standin.FileDiff {
	return []standin.FileDiff{
		{File: "families", Unchanged: 3},
		{File: "boards", Added: 1, Changed: 1, Removed: 4, Unchanged: 10, Changes: []standin.Change{
			{Op: "added", Key: []standin.Field{{Column: "part_number", Value: "QX-4420"}}, Fields: []standin.FieldChange{{Column: "family", After: "QX"}, {Column: "title"}}},
			{Op: "changed", Key: []standin.Field{{Column: "part_number", Value: "QX-4410"}}, Fields: []standin.FieldChange{{Column: "gtin", After: "4098765000022"}}},
			{Op: "removed", Key: []standin.Field{{Column: "part_number", Value: "QX-4390"}}, Fields: []standin.FieldChange{{Column: "family", Before: "QX"}}},
		}},
		{File: "revisions", Changed: 2, Changes: []standin.Change{
			{Op: "changed", Key: []standin.Field{{Column: "part_number", Value: "QX-4410"}, {Column: "revision", Value: "B"}}, LiftsStop: true,
				Fields: []standin.FieldChange{{Column: "stop", Before: "burns at the edge"}}},
			{Op: "changed", Key: []standin.Field{{Column: "part_number", Value: "QX-4410"}, {Column: "revision", Value: "C"}},
				Fields: []standin.FieldChange{{Column: "issue", Before: "2", After: "3"}}},
		}},
	}
}

func sampleImports() []standin.Import {
	return []standin.Import{
		{ID: 3, At: time.Date(2026, 3, 2, 9, 30, 0, 0, time.UTC), By: "Ada", Bundle: "spring.zip", CatalogueVersion: 14, Removed: 21, Undoes: 2},
		{ID: 2, At: time.Date(2026, 3, 1, 18, 5, 9, 0, time.FixedZone("", 3600)), Bundle: "spring.zip", CatalogueVersion: 13, Added: 20, Changed: 1, UndoneBy: 3},
	}
}
