package importertest

import (
	"flag"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin/importer"
)

// Update is the flag by which golden files are rewritten.
var Update = flag.Bool("update", false, "rewrite the golden files in testdata")

// Golden runs the cases of a file.
func Golden(t *testing.T, path string, run func(edits []string) *importer.Report) {
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
	if *Update {
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

// Edit changes a bundle as a line of a golden file says.
func Edit(t *testing.T, bundle map[string]string, line string) {
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
