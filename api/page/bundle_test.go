package page_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// bundle writes a bundle: rows by file, the header first.
func bundle(t testing.TB, files map[string][][]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, rows := range files {
		f, err := os.Create(filepath.Join(dir, name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		if err := csv.NewWriter(f).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// manyModels is a bundle of n models that one board of one family serves.
func manyModels(t testing.TB, n int) string {
	models := [][]string{{"brand", "model", "volts", "hertz"}}
	configurations := [][]string{{"family", "brand", "model", "issue_from", "code", "pattern"}}
	for i := range n {
		model := fmt.Sprintf("DW %d", 1000+i)
		models = append(models, []string{"Wexcombe", model, "230", "50"})
		configurations = append(configurations, []string{"Curlew", "Wexcombe", model, "", "ABA", "101"})
	}
	return bundle(t, map[string][][]string{
		"families":       {{"family", "selector", "code_length", "readback"}, {"Curlew", "A B", "3", "L1 L2 L3"}},
		"boards":         {{"part_number", "family"}, {"70-1000", "Curlew"}},
		"revisions":      {{"part_number", "revision", "issue"}, {"70-1000", "A", "1"}},
		"models":         models,
		"configurations": configurations,
	})
}
