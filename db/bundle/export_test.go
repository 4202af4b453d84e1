package bundle

import (
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/importer"
	"standin/importer/generate"
)

// exportTo writes an export to a bundle in a folder of its own.
func exportTo(t *testing.T, db *database, family, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	w, err := importer.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	err = db.Export(t.Context(), family, func(f standin.File, rows iter.Seq2[[]string, error]) error {
		_, err := w.Write(f, rows)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// exportRows are the rows of an export by file.
func exportRows(t *testing.T, db *database, family string) map[string][][]string {
	t.Helper()
	all := map[string][][]string{}
	err := db.Export(t.Context(), family, func(f standin.File, rows iter.Seq2[[]string, error]) error {
		for cells, err := range rows {
			if err != nil {
				return err
			}
			all[f.Name] = append(all[f.Name], cells)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func importPath(t testing.TB, db *database, path string) *importer.Report {
	t.Helper()
	report, err := importer.Run(t.Context(), db, []string{path}, importer.Options{By: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if report.Errors > 0 {
		t.Fatalf("%s: %s %+v", path, report.Summary(), report.Findings[0])
	}
	return report
}

// Exporting an import gives the same rows; importing an export changes nothing,
// and in an empty catalogue makes the same again. A family alone does too.
func TestExportOfGeneratedCatalogues(t *testing.T) {
	t.Parallel()
	for seed := range uint64(3) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			t.Parallel()
			c := generate.Catalogue{Models: 40 * int(seed+1), Configurations: 150 * int(seed+1), Seed: seed}
			made := filepath.Join(t.TempDir(), "made")
			if err := c.Write(made); err != nil {
				t.Fatal(err)
			}
			db, other := openEmpty(t), openEmpty(t)
			importPath(t, db, made)
			want := map[string][][]string{}
			for _, f := range standin.Files {
				for cells := range c.Rows(f.Name) {
					want[f.Name] = append(want[f.Name], cells)
				}
				slices.SortFunc(want[f.Name], slices.Compare)
			}
			got := exportRows(t, db, "")
			for name := range got {
				slices.SortFunc(got[name], slices.Compare)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("the export of an import (-imported +exported):\n%s", diff)
			}
			for _, name := range []string{"all.zip", "all"} {
				if again := importPath(t, db, exportTo(t, db, "", name)); again.Import.ID != 0 {
					t.Errorf("importing an export changes something: %+v", again.Import)
				}
			}
			checkFamilyExport(t, db, other)
		})
	}
}

// checkFamilyExport exports the first family, imports it alone, and exports it again.
func checkFamilyExport(t *testing.T, db, other *database) {
	t.Helper()
	families, err := db.ListFamilies(t.Context(), "", 1)
	if err != nil || len(families) == 0 {
		t.Fatalf("%d families, %v", len(families), err)
	}
	family := families[0].Name
	path := exportTo(t, db, family, "one")
	if again := importPath(t, db, path); again.Import.ID != 0 {
		t.Errorf("importing the export of a family changes something: %+v", again.Import)
	}
	importPath(t, other, path)
	one := exportRows(t, db, family)
	if diff := cmp.Diff(one, exportRows(t, other, family)); diff != "" {
		t.Errorf("a family that was imported alone (-before +after):\n%s", diff)
	}
	if len(one["configurations"]) == 0 || len(one["boards"]) == 0 || len(one["models"]) == 0 {
		t.Errorf("the export of family %s has no rows of some files: %d files", family, len(one))
	}
	for _, row := range one["configurations"] {
		if row[0] != family {
			t.Errorf("the export of family %s has the configuration %q", family, row)
		}
	}
}

// Cells that a spreadsheet would run are defused, and whatever a cell holds comes
// back as it was.
func TestExportOfOddCells(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	dir := t.TempDir()
	text := "source,title,issued,note\n" +
		"=1+1,\"say \"\"hm\"\"\",2004-02-29,\"two\nlines, and a comma\"\n" +
		"-7,''=quoted,,@home\n'plain,+49,0001-01-01,sep=;\n"
	steps := "procedure,phase,step,do,hold_seconds,expect\np,enter,1,,0.00000001,\np,enter,2,,123456789.25,\np,enter,10,,,\n"
	for name, content := range map[string]string{"sources.csv": text, "procedures.csv": steps} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	importPath(t, db, dir)
	path := exportTo(t, db, "", "odd")
	for name, want := range map[string]string{
		"sources.csv": "source,title,issued,note\n'plain,'+49,0001-01-01,sep=;\n'-7,''=quoted,,'@home\n" +
			"'=1+1,\"say \"\"hm\"\"\",2004-02-29,\"two\nlines, and a comma\"\n",
		"procedures.csv": steps,
	} {
		got, err := os.ReadFile(filepath.Join(path, name))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, string(got)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
	if again := importPath(t, db, path); again.Import.ID != 0 {
		t.Errorf("importing an export changes something: %+v", again.Files)
	}
	err := db.Export(t.Context(), "none", func(standin.File, iter.Seq2[[]string, error]) error { return nil })
	if standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("an unknown family: %v", err)
	}
}
