package sheet_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/xuri/excelize/v2"

	"standin/importer"
	"standin/importer/importertest"
)

// Whatever a workbook is, it is answered with findings.
func FuzzWorkbook(f *testing.F) {
	good := importertest.Workbook(f, "sources", func(x *excelize.File) {
		importertest.SetRow(f, x, "sources", "A1", "source", "title", "issued")
		importertest.SetRow(f, x, "sources", "A2", "S", true, 38247)
		importertest.SetStyle(f, x, "sources", "C2", "mm/yyyy")
		importertest.Must(f, x.MergeCell("sources", "A3", "B3"))
	})
	for _, path := range []string{good, handmade(f, sheetStart+`<row r="7" hidden="1"><c t="e"><v>#N/A</v></c></row></sheetData></worksheet>`, "<sst><si><t>x</t></si></sst>")} {
		text, err := os.ReadFile(path)
		importertest.Must(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		path := filepath.Join(t.TempDir(), "book.xlsx")
		importertest.Must(t, os.WriteFile(path, text, 0o600))
		report, err := importer.Run(context.Background(), &importertest.Store{}, []string{path}, importer.Options{})
		importertest.Must(t, err)
		importertest.CheckFindings(t, report)
	})
}

// The XML of a sheet by itself: a workbook's zip would hide it from the fuzzer.
func FuzzSheet(f *testing.F) {
	f.Add(sheetStart+`<row r="3"><c r="A3" t="s"><v>0</v></c><c r="B3" s="1"><f>1</f><v>2.5E1</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells></worksheet>`, "<sst><si><t>x</t></si></sst>")
	f.Add(sheetStart+`<row><c t="b"><v>1</v></c><c t="e"><v>#REF!</v></c><c t="d"><v>2004-09-17</v></c></row>`, "<sst><si><r><t>a</t></r></si>")
	f.Fuzz(func(t *testing.T, sheet, shared string) {
		report, err := importer.Run(context.Background(), &importertest.Store{}, []string{handmade(t, sheet, shared)}, importer.Options{})
		importertest.Must(t, err)
		importertest.CheckFindings(t, report)
	})
}
