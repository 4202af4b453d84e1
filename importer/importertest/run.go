package importertest

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"standin"
	"standin/importer"
)

// FindingLines are the findings of a report, one per line.
func FindingLines(r *importer.Report) string {
	var lines []string
	for _, f := range r.Findings {
		lines = append(lines, findingLine(f))
	}
	return strings.Join(lines, "\n")
}

// Run imports what is at the paths into a new Store.
func Run(t testing.TB, paths ...string) (*importer.Report, *Store) {
	t.Helper()
	store := &Store{}
	report, err := importer.Run(context.Background(), store, paths, importer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return report, store
}

// Must fails the test on an error.
func Must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func findingLine(f standin.Finding) string {
	s := fmt.Sprintf("%s %s:%d", f.Severity, f.File, f.Line)
	if f.Column != "" {
		s += " " + f.Column
	}
	s += " " + f.Code + ": " + f.Message
	if f.Correction != "" {
		s += " => " + f.Correction
	}
	return strings.ReplaceAll(s, "\n", `\n`)
}

// RunBundle imports a bundle, given by file name, into a store.
func RunBundle(t testing.TB, store standin.Imports, bundle map[string]string) *importer.Report {
	t.Helper()
	report, err := importer.Run(context.Background(), store, []string{Folder(t, bundle)}, importer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// CheckFindings fails where a finding has no place or no sentence.
func CheckFindings(t *testing.T, report *importer.Report) {
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

// RunMapped imports table.csv by mapping.yaml into a new Store.
func RunMapped(t testing.TB, files map[string]string) (*importer.Report, *Store) {
	t.Helper()
	dir, store := Folder(t, files), &Store{}
	report, err := importer.Run(context.Background(), store, []string{filepath.Join(dir, "table.csv")},
		importer.Options{Map: filepath.Join(dir, "mapping.yaml")})
	Must(t, err)
	return report, store
}

// LiveHeap is how many bytes of the heap are in use after a collection.
func LiveHeap() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
