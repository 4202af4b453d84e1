package importer_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/xuri/excelize/v2"

	"standin/importer"
)

// checkFindings fails where a finding has no place or no sentence.
func checkFindings(t *testing.T, report *importer.Report) {
	t.Helper()
	for _, f := range report.Findings {
		if f.File == "" || f.Code == "" || f.Message == "" {
			t.Fatalf("a finding without a place or a sentence: %+v", f)
		}
	}
	if report.Committed && report.Errors > 0 {
		t.Fatal("committed with errors")
	}
}

// Whatever a workbook is, it is answered with findings.
func FuzzWorkbook(f *testing.F) {
	good := book(f, "sources", func(x *excelize.File) {
		setRow(f, x, "sources", "A1", "source", "title", "issued")
		setRow(f, x, "sources", "A2", "S", true, 38247)
		setStyle(f, x, "sources", "C2", "mm/yyyy")
		must(f, x.MergeCell("sources", "A3", "B3"))
	})
	for _, path := range []string{good, handmade(f, sheetStart+`<row r="7" hidden="1"><c t="e"><v>#N/A</v></c></row></sheetData></worksheet>`, "<sst><si><t>x</t></si></sst>")} {
		text, err := os.ReadFile(path)
		must(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		path := filepath.Join(t.TempDir(), "book.xlsx")
		must(t, os.WriteFile(path, text, 0o600))
		report, err := importer.Run(context.Background(), &memory{}, []string{path}, importer.Options{})
		must(t, err)
		checkFindings(t, report)
	})
}

// The XML of a sheet by itself: a workbook's zip would hide it from the fuzzer.
func FuzzSheet(f *testing.F) {
	f.Add(sheetStart+`<row r="3"><c r="A3" t="s"><v>0</v></c><c r="B3" s="1"><f>1</f><v>2.5E1</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells></worksheet>`, "<sst><si><t>x</t></si></sst>")
	f.Add(sheetStart+`<row><c t="b"><v>1</v></c><c t="e"><v>#REF!</v></c><c t="d"><v>2004-09-17</v></c></row>`, "<sst><si><r><t>a</t></r></si>")
	f.Fuzz(func(t *testing.T, sheet, shared string) {
		report, err := importer.Run(context.Background(), &memory{}, []string{handmade(t, sheet, shared)}, importer.Options{})
		must(t, err)
		checkFindings(t, report)
	})
}

// Whatever a mapping and its table are, they are answered with findings, and
// the table comes back annotated as one that reads the same.
func FuzzMapping(f *testing.F) {
	files := supplied(f)
	f.Add(files["mapping.yaml"], files["table.csv"])
	f.Add("rows: [{file: models, columns: {brand: {letter: A}, model: {template: \"{B}{C}\"}}}]", "A,B,C\n1,2,3\n")
	f.Add("a: &a [*a]\nrows: *a\n", "A\n")
	f.Fuzz(func(t *testing.T, mapping, table string) {
		dir := folderOf(t, map[string]string{"mapping.yaml": mapping, "table.csv": table})
		o := importer.Options{Map: filepath.Join(dir, "mapping.yaml")}
		path := filepath.Join(dir, "table.csv")
		store := &memory{}
		report, err := importer.Run(context.Background(), store, []string{path}, o)
		must(t, err)
		checkFindings(t, report)
		out := filepath.Join(dir, "out.csv")
		if err := importer.Annotate(context.Background(), []string{path}, o, report.Findings, out); err != nil || report.Errors > 0 {
			return
		}
		again := &memory{}
		report, err = importer.Run(context.Background(), again, []string{out}, o)
		must(t, err)
		for name, rows := range store.staged {
			if len(again.staged[name]) != len(rows) {
				t.Fatalf("%d rows of %s, annotated %d\n%s", len(rows), name, len(again.staged[name]), findingLines(report))
			}
		}
	})
}

// A proposal for whatever table is a mapping that can be read.
func FuzzPropose(f *testing.F) {
	files := supplied(f)
	f.Add([]byte(files["table.csv"]))
	f.Add([]byte("Brand;Model;?;?\nx;y;x;-\n"))
	f.Fuzz(func(t *testing.T, table []byte) {
		if bytes.HasPrefix(table, []byte("PK")) {
			return
		}
		dir := folderOf(t, map[string]string{"table.csv": string(table)})
		text, err := importer.Propose(context.Background(), filepath.Join(dir, "table.csv"), importer.ProposeOptions{Family: "F"})
		if err != nil {
			return
		}
		asJSON(t, text)
	})
}
