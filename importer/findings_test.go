package importer_test

import (
	"context"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"standin"
	"standin/importer"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write what is found into testdata/findings")

// TestFindings runs the cases of testdata/findings: the valid bundle with
// something broken, and what is then found. A case is a block of lines:
//
//	# what is broken
//	change FILE: OLD -> NEW     the first OLD in the file becomes NEW
//	append FILE: LINE           a line more
//	file FILE: TEXT             the file as a whole
//	without FILE                the file is not there
//	error FILE:LINE COLUMN CODE: MESSAGE => CORRECTION     what is found, one a line
//
// In all of them \n, \r, \t and \xNN stand for those characters.
func TestFindings(t *testing.T) {
	t.Parallel()
	paths, err := filepath.Glob("testdata/findings/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			golden(t, path, func(edits []string) *importer.Report {
				bundle := validBundle(t)
				for _, line := range edits {
					edit(t, bundle, line)
				}
				return importBundle(t, &memory{}, bundle)
			})
		})
	}
}

// golden runs the cases of a file.
func golden(t *testing.T, path string, run func(edits []string) *importer.Report) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for block := range strings.SplitSeq(strings.TrimSpace(string(text)), "\n\n") {
		found = append(found, runCase(strings.Split(block, "\n"), run))
	}
	got := strings.Join(found, "\n\n") + "\n"
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(string(text), got); diff != "" {
		t.Errorf("findings (-want +got):\n%s", diff)
	}
}

// runCase is the case with what was found in place of what it expects.
func runCase(lines []string, run func(edits []string) *importer.Report) string {
	var kept, edits []string
	for _, line := range lines {
		if strings.HasPrefix(line, "error ") || strings.HasPrefix(line, "warning ") || line == "nothing" {
			continue
		}
		kept = append(kept, line)
		if !strings.HasPrefix(line, "#") {
			edits = append(edits, line)
		}
	}
	report := run(edits)
	for _, f := range report.Findings {
		kept = append(kept, findingLine(f))
	}
	if len(report.Findings) == 0 {
		kept = append(kept, "nothing")
	}
	return strings.Join(kept, "\n")
}

func edit(t *testing.T, bundle map[string]string, line string) {
	t.Helper()
	verb, rest, _ := strings.Cut(line, " ")
	name, text, _ := strings.Cut(rest, ":")
	text = strings.TrimPrefix(text, " ")
	old, change, found := strings.Cut(text, " ->")
	change = strings.TrimPrefix(change, " ")
	switch {
	case verb == "without":
		delete(bundle, name)
	case verb == "file":
		bundle[name] = unescape(text)
	case verb == "append":
		bundle[name] += unescape(text) + "\n"
	case verb == "change" && found && strings.Contains(bundle[name], unescape(old)):
		bundle[name] = strings.Replace(bundle[name], unescape(old), unescape(change), 1)
	default:
		t.Errorf("nothing to do for %q", line)
	}
}

func unescape(text string) string {
	unquoted, err := strconv.Unquote(`"` + strings.ReplaceAll(text, `"`, `\"`) + `"`)
	if err != nil {
		panic("bad escape in " + text)
	}
	return unquoted
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

func validBundle(t testing.TB) map[string]string {
	t.Helper()
	bundle := map[string]string{}
	for _, f := range standin.Files {
		text, err := os.ReadFile(filepath.Join("testdata/valid", f.Name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		bundle[f.Name+".csv"] = string(text)
	}
	return bundle
}

// folderOf writes a bundle into a folder of its own.
func folderOf(t testing.TB, bundle map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "bundle")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range slices.Sorted(maps.Keys(bundle)) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(bundle[name]), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func importBundle(t testing.TB, store standin.Imports, bundle map[string]string) *importer.Report {
	t.Helper()
	report, err := importer.Run(context.Background(), store, []string{folderOf(t, bundle)}, importer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return report
}
