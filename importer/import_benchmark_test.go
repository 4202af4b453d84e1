package importer_test

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin/importer"
	"standin/importer/importertest"
)

// BenchmarkRead reads, parses and checks configurations; beside it, what
// encoding/csv alone takes for the same file.
func BenchmarkRead(b *testing.B) {
	const rows = 100_000
	dir := importertest.Folder(b, map[string]string{
		"families.csv":       "family,selector,code_length,readback\nMarl 3,1 2 3 4 5 6 7 8 9 A B C,4,L1 L2 L3 L4 L5 L6 L7 L8\n",
		"configurations.csv": configurations(rows),
	})
	b.Run("encoding-csv", func(b *testing.B) {
		for b.Loop() {
			if got := plainRead(b, filepath.Join(dir, "configurations.csv")); got != rows+1 {
				b.Fatalf("%d rows", got)
			}
		}
		b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
	})
	b.Run("importer", func(b *testing.B) {
		for b.Loop() {
			report, err := importer.Run(context.Background(), &importertest.Sink{}, []string{dir}, importer.Options{})
			if err != nil || report.Errors > 0 || report.Read[1].Rows != rows {
				b.Fatalf("%v %+v", err, report)
			}
		}
		b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
	})
}

func configurations(rows int) string {
	var text strings.Builder
	text.WriteString("family,brand,model,variant,build,issue_from,issue_to,code,pattern,source\n")
	for i := range rows {
		fmt.Fprintf(&text, "Marl 3,Ondral,DW %d,9%05d,b1,%d,,%d %d A C,10f-01%d1,Sheet 7\n", i/10, i, i%3+1, i%9+1, i%7+1, i%2)
	}
	return text.String()
}

func plainRead(b *testing.B, path string) (rows int) {
	f, err := os.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.ReuseRecord = true
	for {
		if _, err := r.Read(); errors.Is(err, io.EOF) {
			return rows
		} else if err != nil {
			b.Fatal(err)
		}
		rows++
	}
}
