package sheet_test

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin/importer/importertest"
	"standin/importer/sheet"
	"standin/importer/table"
)

// cellsRead are the cells of the first sheet of a workbook, with what they are said to be.
func cellsRead(t *testing.T, path string) (cells [][]string, kinds [][]table.CellKind) {
	t.Helper()
	book, closer, err := sheet.Open(func() (io.ReadCloser, error) { return os.Open(path) })
	importertest.Must(t, err)
	defer closer.Close()
	in, err := book.Sheets[0].Open(context.Background())
	importertest.Must(t, err)
	defer in.Close()
	for {
		row, err := in.Next()
		if errors.Is(err, io.EOF) {
			return cells, kinds
		}
		importertest.Must(t, err)
		for at, f := range row.Wrong {
			t.Errorf("row %d, column %d: %s", row.Line, at, f.Message)
		}
		cells, kinds = append(cells, slices.Clone(row.Cells)), append(kinds, slices.Clone(row.Kinds))
	}
}

// missing skips a test, or fails it where nothing may be skipped.
func missing(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
		t.Fatal(reason)
	}
	t.Skip(reason)
}

// command runs a program to its end.
func command(t *testing.T, name string, args ...string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	if out, err := exec.CommandContext(ctx, name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
}

// What the writers below write: texts, also of digits; numbers; dates as days, months and
// with a time; yes and no; what a formula gives; and nothing between.
var (
	written = [][]string{
		{"Brand", "Model", "Made", "Until", "At", "Watts", "Stock", "Sum", "Note"},
		{"Brunning", "0815", "2004-09-17", "2006-11", "2004-09-17 12:30:00", "1850.5", "TRUE", "3701", "a & b <c> \"d\""},
		{"Keldorf ß €", "1E5", "1998-01-02", "", "", "0.1", "FALSE", "0.2", "two\nlines"},
		{"", "", "2100-12-31", "", "", "123456789012", "", "246913578024", " "},
	}
	writtenKinds = []table.CellKind{table.TextCell, table.TextCell, table.DateCell, table.DateCell, table.DateCell, table.NumberCell,
		table.TruthCell, table.NumberCell, table.TextCell}
)

// checkWritten compares what was read of a workbook with what was written.
func checkWritten(t *testing.T, path string) {
	t.Helper()
	cells, kinds := cellsRead(t, path)
	if diff := cmp.Diff(written, cells); diff != "" {
		t.Errorf("cells (-want +got):\n%s", diff)
	}
	if len(kinds) < 2 || !slices.Equal(kinds[1], writtenKinds) {
		t.Errorf("kinds %v, want the second row's %v", kinds, writtenKinds)
	}
}

// Workbooks that LibreOffice saves: one of its own that was opened as .xlsx, and one that
// went through an OpenDocument spreadsheet, which is how such a file comes in.
func TestLibreOffice(t *testing.T) {
	t.Parallel()
	office, err := exec.LookPath("soffice")
	if err != nil {
		missing(t, "soffice is not installed (Debian libreoffice-calc-nogui)")
	}
	path := importertest.Workbook(t, "Table", func(f *excelize.File) {
		day := func(text string) time.Time {
			at, err := time.Parse("2006-01-02 15:04", text)
			importertest.Must(t, err)
			return at
		}
		importertest.SetRow(t, f, "Table", "A1", "Brand", "Model", "Made", "Until", "At", "Watts", "Stock", "Sum", "Note")
		importertest.SetRow(t, f, "Table", "A2", "Brunning", "0815", day("2004-09-17 00:00"), day("2006-11-01 00:00"), day("2004-09-17 12:30"), 1850.5, true, nil, "a & b <c> \"d\"")
		importertest.SetRow(t, f, "Table", "A3", "Keldorf ß €", "1E5", day("1998-01-02 00:00"), nil, nil, 0.1, false, nil, "two\nlines")
		importertest.SetRow(t, f, "Table", "A4", nil, nil, day("2100-12-31 00:00"), nil, nil, 123456789012, nil, nil, " ")
		for _, row := range []string{"2", "3", "4"} {
			importertest.SetStyle(t, f, "Table", "C"+row, "dd.mm.yyyy")
			importertest.Must(t, f.SetCellFormula("Table", "H"+row, "F"+row+"*2"))
		}
		importertest.SetStyle(t, f, "Table", "D2", "mm/yyyy")
		importertest.SetStyle(t, f, "Table", "E2", "yyyy-mm-dd hh:mm")
	})
	profile := "-env:UserInstallation=file://" + t.TempDir()
	for _, through := range [][]string{{"xlsx"}, {"ods", "xlsx"}} {
		from := path
		for _, format := range through {
			dir := t.TempDir()
			command(t, office, profile, "--headless", "--convert-to", format, "--outdir", dir, from)
			from = filepath.Join(dir, "book."+format)
		}
		checkWritten(t, from)
	}
}

// Workbooks of two libraries of another language, each in both of its ways: all at once,
// and a row at a time with the texts in the cells.
func TestOtherWriters(t *testing.T) {
	t.Parallel()
	for _, library := range []string{"openpyxl", "xlsxwriter"} {
		t.Run(library, func(t *testing.T) {
			t.Parallel()
			python := pythonWith(t, library)
			for _, way := range []string{"whole", "rows"} {
				path := filepath.Join(t.TempDir(), way+".xlsx")
				command(t, python, filepath.Join("testdata", "with_"+library+".py"), path, way)
				checkWritten(t, path)
			}
		})
	}
}

// pythonWith is an interpreter that has a library: the first in the path, or Debian's.
func pythonWith(t *testing.T, library string) string {
	t.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import "+library).Run() == nil {
			return name
		}
	}
	missing(t, "the library "+library+" is not installed (Debian python3-"+library+")")
	return ""
}
