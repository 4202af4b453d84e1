package sheet_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"standin/importer/importertest"
	"standin/importer/sheet"
)

// BenchmarkRead reads a sheet of 100,000 rows and ten columns; beside it, what
// excelize's streaming reader takes for the same sheet: the cells as they are
// stored, and as they are shown. Neither of the two tells a date from a number,
// nor a number from text that looks like one. The shared texts of the one
// workbook are the inline texts of the other.
func BenchmarkRead(b *testing.B) {
	const rows = 100_000
	for _, texts := range []string{"inline", "shared"} {
		path := benchBook(b, rows, texts == "shared")
		for name, read := range map[string]func(*testing.B, string) int{
			"sheet":           readSheet,
			"excelize-stored": func(b *testing.B, path string) int { return readStream(b, path, excelize.Options{RawCellValue: true}) },
			"excelize-shown":  func(b *testing.B, path string) int { return readStream(b, path, excelize.Options{}) },
		} {
			b.Run(texts+"/"+name, func(b *testing.B) {
				peak := peakSince(b)
				for b.Loop() {
					if got := read(b, path); got != rows+1 {
						b.Fatalf("%d rows", got)
					}
				}
				b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
				b.ReportMetric(peak(), "MB-peak")
			})
		}
	}
}

// BenchmarkAddColumns writes the workbook of BenchmarkRead again with a column
// more, as annotated tables are; beside it, what excelize takes to write as many
// rows as a stream, which can only begin a sheet and keeps nothing of another.
func BenchmarkAddColumns(b *testing.B) {
	const rows = 100_000
	path := benchBook(b, rows, true)
	cells := map[int]string{}
	for row := 1; row <= rows; row += 10 {
		cells[row] = "error in code: \"8\" at place 2 of the code is not on the selector"
	}
	for name, write := range map[string]func() error{
		"sheet": func() error {
			return sheet.AddColumns(path, []sheet.Column{{Sheet: "configurations", At: 10, Cells: cells}}, io.Discard)
		},
		"excelize-stream": func() error {
			f := excelize.NewFile()
			defer f.Close()
			return errors.Join(stream(f, "Sheet1", rows), f.Write(io.Discard))
		},
	} {
		b.Run(name, func(b *testing.B) {
			peak := peakSince(b)
			for b.Loop() {
				importertest.Must(b, write())
			}
			b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
			b.ReportMetric(peak(), "MB-peak")
		})
	}
}

func readSheet(b *testing.B, path string) (rows int) {
	book, closer, err := sheet.Open(func() (io.ReadCloser, error) { return os.Open(path) })
	importertest.Must(b, err)
	defer closer.Close()
	in, err := book.Sheets[0].Open(context.Background())
	importertest.Must(b, err)
	defer in.Close()
	for {
		_, err := in.Next()
		if errors.Is(err, io.EOF) {
			return rows
		}
		importertest.Must(b, err)
		rows++
	}
}

func readStream(b *testing.B, path string, o excelize.Options) (rows int) {
	book, err := excelize.OpenFile(path, o)
	importertest.Must(b, err)
	defer book.Close()
	in, err := book.Rows("configurations")
	importertest.Must(b, err)
	defer in.Close()
	for in.Next() {
		_, err := in.Columns()
		importertest.Must(b, err)
		rows++
	}
	importertest.Must(b, in.Error())
	return rows
}

// benchBook is a workbook of so many rows below a header.
func benchBook(b *testing.B, rows int, shared bool) string {
	b.Helper()
	f := excelize.NewFile()
	importertest.Must(b, f.SetSheetName("Sheet1", "configurations"))
	if shared {
		for i := range rows + 1 {
			cells := benchRow(i)
			importertest.Must(b, f.SetSheetRow("configurations", "A"+strconv.Itoa(i+1), &cells))
		}
	} else {
		importertest.Must(b, stream(f, "configurations", rows))
	}
	path := filepath.Join(b.TempDir(), "book.xlsx")
	importertest.Must(b, errors.Join(f.SaveAs(path), f.Close()))
	return path
}

func stream(f *excelize.File, name string, rows int) error {
	w, err := f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for i := range rows + 1 {
		if err := w.SetRow("A"+strconv.Itoa(i+1), benchRow(i)); err != nil {
			return err
		}
	}
	return w.Flush()
}

func benchRow(i int) []any {
	if i == 0 {
		return []any{"family", "brand", "model", "variant", "build", "issue_from", "issue_to", "code", "pattern", "source"}
	}
	return []any{"Marl 3", "Ondral", fmt.Sprint("DW ", i/10), fmt.Sprintf("9%05d", i), "b1", i%3 + 1, nil,
		fmt.Sprintf("%d %d A C", i%9+1, i%7+1), fmt.Sprintf("10f-01%d1", i%2), "Sheet 7"}
}

// peakSince begins to watch the most memory that the process holds, where the
// system tells.
func peakSince(b *testing.B) func() float64 {
	debug.FreeOSMemory()
	if err := os.WriteFile("/proc/self/clear_refs", []byte("5"), 0); err != nil {
		b.Logf("the peak is that of the whole run: %v", err)
	}
	return func() float64 {
		status, _ := os.ReadFile("/proc/self/status")
		_, after, _ := strings.Cut(string(status), "VmHWM:")
		text, _, _ := strings.Cut(strings.TrimSpace(after), " ")
		kb, _ := strconv.ParseFloat(text, 64)
		return kb / 1024
	}
}
