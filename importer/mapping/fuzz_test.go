package mapping_test

import (
	"bytes"
	"context"
	"path/filepath"
	"testing"

	"standin/importer"
	"standin/importer/importertest"
)

// Whatever a mapping and its table are, they are answered with findings, and
// the table comes back annotated as one that reads the same.
func FuzzMapping(f *testing.F) {
	files := importertest.Supplied(f)
	f.Add(files["mapping.yaml"], files["table.csv"])
	f.Add("rows: [{file: models, columns: {brand: {letter: A}, model: {template: \"{B}{C}\"}}}]", "A,B,C\n1,2,3\n")
	f.Add("a: &a [*a]\nrows: *a\n", "A\n")
	f.Fuzz(func(t *testing.T, mapping, table string) {
		dir := importertest.Folder(t, map[string]string{"mapping.yaml": mapping, "table.csv": table})
		o := importer.Options{Map: filepath.Join(dir, "mapping.yaml")}
		path := filepath.Join(dir, "table.csv")
		store := &importertest.Store{}
		report, err := importer.Run(context.Background(), store, []string{path}, o)
		importertest.Must(t, err)
		importertest.CheckFindings(t, report)
		out := filepath.Join(dir, "out.csv")
		if err := importer.Annotate(context.Background(), []string{path}, o, report.Findings, out); err != nil || report.Errors > 0 {
			return
		}
		again := &importertest.Store{}
		report, err = importer.Run(context.Background(), again, []string{out}, o)
		importertest.Must(t, err)
		for name, rows := range store.Staged {
			if len(again.Staged[name]) != len(rows) {
				t.Fatalf("%d rows of %s, annotated %d\n%s", len(rows), name, len(again.Staged[name]), importertest.FindingLines(report))
			}
		}
	})
}

// A proposal for whatever table is a mapping that can be read.
func FuzzPropose(f *testing.F) {
	files := importertest.Supplied(f)
	f.Add([]byte(files["table.csv"]))
	f.Add([]byte("Brand;Model;?;?\nx;y;x;-\n"))
	f.Fuzz(func(t *testing.T, table []byte) {
		if bytes.HasPrefix(table, []byte("PK")) {
			return
		}
		dir := importertest.Folder(t, map[string]string{"table.csv": string(table)})
		text, err := importer.Propose(context.Background(), filepath.Join(dir, "table.csv"), importer.ProposeOptions{Family: "F"})
		if err != nil {
			return
		}
		asJSON(t, text)
	})
}
