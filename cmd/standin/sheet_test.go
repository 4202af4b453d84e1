package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestSheet(t *testing.T) {
	t.Parallel()
	at := readable(t)
	dir := t.TempDir()
	job := []string{"sheet", "--database-url", at, "--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-140", "--revision", "A"}
	for name, flags := range map[string][]string{"sheet.pdf": nil, "label.pdf": {"--label"}} {
		file := filepath.Join(dir, name)
		checkWritten(t, run(t, append(append(job, "--out", file), flags...)...), file)
		written, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		printed := run(t, append(append(job, "--out", "-"), flags...)...)
		if !bytes.HasPrefix(written, []byte("%PDF-")) || printed.stdout != string(written) {
			t.Errorf("%s is not the PDF that goes to standard output", name)
		}
	}
	in, err := os.ReadDir(dir)
	if err != nil || len(in) != 2 {
		t.Errorf("the folder has %v, %v", in, err)
	}
	inWords := run(t, "sheet", "--database-url", at, "--part", "ZQ-PA-140", "--revision", "A", "--out", filepath.Join(dir, "sheet.pdf"), "fenlask", "vask690")
	checkWritten(t, inWords, filepath.Join(dir, "sheet.pdf"))
}

// There is no sheet for a board that does not fit, or that may not, and nothing
// is written.
func TestSheetRefused(t *testing.T) {
	t.Parallel()
	at := readable(t)
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	for name, test := range map[string]struct {
		args   []string
		status int
		says   string
	}{
		"depends":      {[]string{"--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-131", "--revision", "C"}, statusNothing, "Is there a plug with 10 ways on the harness?"},
		"does not fit": {[]string{"--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-125", "--revision", "A"}, statusNothing, "does not fit"},
		"revision":     {[]string{"--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-140"}, statusUsage, "give the one on its label"},
		"no board":     {[]string{"--brand", "Fenlask", "--model", "Vask 690"}, statusUsage, "--part"},
		"other board":  {[]string{"--brand", "Fenlask", "--model", "Vask 690", "--part", "NONE"}, statusFailed, "NONE"},
		"no address":   {[]string{"--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-140", "--public-url", "boards"}, statusUsage, "https://boards.example"},
		"no model":     {[]string{"--part", "ZQ-PA-140"}, statusUsage, "--brand and --model"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := run(t, append([]string{"sheet", "--database-url", at, "--out", file}, test.args...)...)
			checkNothingPrinted(t, got, test.status, test.says)
			if _, err := os.Stat(file); err == nil {
				t.Error("a file was written")
			}
		})
	}
	missing := run(t, "sheet", "--database-url", at, "--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-140", "--revision", "A",
		"--out", filepath.Join(t.TempDir(), "nowhere", "sheet.pdf"))
	checkNothingPrinted(t, missing, statusFailed, "cannot be written: no such file or directory")
	nameless := run(t, "sheet", "--database-url", at, "--brand", "Fenlask", "--model", "Vask 690", "--part", "ZQ-PA-140")
	checkNothingPrinted(t, nameless, statusUsage, "--out")
}

// checkWritten checks that a file was written, and that this was said.
func checkWritten(t *testing.T, got ran, file string) {
	t.Helper()
	if got.status != statusAnswered || got.stdout != "" || got.stderr != "written: "+file+"\n" {
		t.Errorf("status %d, stdout %q, stderr %q", got.status, got.stdout, got.stderr)
	}
}

// checkNothingPrinted checks the status and the one sentence of a refusal.
func checkNothingPrinted(t *testing.T, got ran, status int, says string) {
	t.Helper()
	checkSentence(t, got)
	if got.status != status || !strings.Contains(got.stderr, says) {
		t.Errorf("status %d, stderr %q; want %d with %q", got.status, got.stderr, status, says)
	}
}
