package importertest

import (
	"path/filepath"
	"testing"

	"github.com/xuri/excelize/v2"
)

// Workbook writes a workbook with a sheet of that name and lets fill write into it.
func Workbook(t testing.TB, name string, fill func(f *excelize.File)) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	Must(t, f.SetSheetName("Sheet1", name))
	fill(f)
	path := filepath.Join(t.TempDir(), "book.xlsx")
	Must(t, f.SaveAs(path))
	return path
}

// SetRow writes cells from a place to the right.
func SetRow(t testing.TB, f *excelize.File, sheet, at string, cells ...any) {
	t.Helper()
	Must(t, f.SetSheetRow(sheet, at, &cells))
}

// SetStyle gives a cell a number format.
func SetStyle(t testing.TB, f *excelize.File, sheet, at, format string) {
	t.Helper()
	style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	Must(t, err)
	Must(t, f.SetCellStyle(sheet, at, at, style))
}
