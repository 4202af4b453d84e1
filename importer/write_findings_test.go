package importer_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// The findings as CSV: nothing in it is live, and it reads back as it was.
func TestWriteFindings(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "findings.csv")
	importertest.Must(t, importer.WriteFindings(path, []standin.Finding{
		{File: "a.csv", Line: 7, Column: "@x", Value: "=cmd|' /C calc'!A0", Code: standin.BadValue, Message: "a, \"b\"\nc", Correction: "-1"},
		{Severity: standin.SeverityWarning, File: "+b.csv", Code: standin.UnknownFile},
	}))
	text, err := os.ReadFile(path)
	importertest.Must(t, err)
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff"))).ReadAll()
	importertest.Must(t, err)
	want := [][]string{
		{"severity", "file", "line", "column", "value", "code", "message", "correction"},
		{"error", "a.csv", "7", "'@x", "'=cmd|' /C calc'!A0", "bad-value", "a, \"b\"\nc", "'-1"},
		{"warning", "'+b.csv", "", "", "", "unknown-file", "", ""},
	}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
}
