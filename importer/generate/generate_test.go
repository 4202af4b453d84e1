package generate_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/importer"
	"standin/importer/generate"
)

// Whatever the size and the seed, a generated catalogue has as many rows as was
// asked for, goes in without an error and with few warnings, and is all there.
func TestGeneratedCataloguesAreValid(t *testing.T) {
	t.Parallel()
	for _, c := range []generate.Catalogue{
		{}, {Models: 1, Configurations: 1, Seed: 1}, {Models: 7, Configurations: 90, Seed: 2},
		{Models: 300, Configurations: 1200, Seed: 3}, {Models: 800, Configurations: 100, Seed: 4},
	} {
		t.Run(fmt.Sprintf("%+v", c), func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "made.zip")
			if err := c.Write(path); err != nil {
				t.Fatal(err)
			}
			report := importFile(t, path)
			if report.Errors > 0 || !report.Committed {
				t.Fatalf("%s %+v", report.Summary(), report.Findings[:min(3, len(report.Findings))])
			}
			if most := 10 + c.Configurations/20; report.Warnings > most {
				t.Errorf("%d warnings, want %d at most: %+v", report.Warnings, most, report.Findings[:3])
			}
			for _, f := range report.Read {
				want := map[string]int{"models.csv": c.Models, "configurations.csv": c.Configurations}
				if n, ok := want[f.File]; ok && n != f.Rows {
					t.Errorf("%s, want %d rows", f, n)
				}
			}
			if len(report.Read) != len(standin.Files) && c.Models >= 300 {
				t.Errorf("%d files have rows, want all %d", len(report.Read), len(standin.Files))
			}
		})
	}
}

func importFile(t *testing.T, path string) *importer.Report {
	t.Helper()
	store, err := db.Open(t.Context(), dbtest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	report, err := importer.Run(context.Background(), bundle.NewStore(store), []string{path}, importer.Options{By: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// The seed alone decides.
func TestSeeds(t *testing.T) {
	t.Parallel()
	sum := func(seed uint64) string {
		h := sha256.New()
		for _, f := range standin.Files {
			for row := range (generate.Catalogue{Models: 50, Configurations: 200, Seed: seed}).Rows(f.Name) {
				fmt.Fprintln(h, strings.Join(row, "|"))
			}
		}
		return string(h.Sum(nil))
	}
	if first, again := sum(1), sum(1); first != again {
		t.Error("the same seed gives two catalogues")
	}
	if sum(1) == sum(2) {
		t.Error("two seeds give one catalogue")
	}
}

// Families differ much in size: the largest has many times the rows of the median.
func TestFamiliesDifferInSize(t *testing.T) {
	t.Parallel()
	rows := map[string]int{}
	for row := range (generate.Catalogue{Models: 8000, Configurations: 40_000, Seed: 1}).Rows("configurations") {
		rows[row[0]]++
	}
	var most, some int
	for _, n := range rows {
		most = max(most, n)
		if n < 40_000/len(rows) {
			some++
		}
	}
	if most < 3*40_000/len(rows) || 2*some < len(rows) {
		t.Errorf("of %d families the largest has %d rows of 40,000, and %d have fewer than an even share", len(rows), most, some)
	}
}

// A bundle stands at its path whole or not at all.
func TestNothingIsOverwritten(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "made")
	if err := (generate.Catalogue{Models: 1, Configurations: 1}).Write(path); err != nil {
		t.Fatal(err)
	}
	err := (generate.Catalogue{}).Write(path)
	if standin.CodeOf(err) != standin.CodeBadRequest {
		t.Errorf("writing over a bundle: %v", err)
	}
	if err := (generate.Catalogue{}).Write(filepath.Join(dir, "none", "made.zip")); standin.CodeOf(err) != standin.CodeBadRequest {
		t.Errorf("writing in a folder that is not there: %v", err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("%v is left beside the bundle", entries)
	}
}
