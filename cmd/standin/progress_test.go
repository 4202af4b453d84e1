package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/importer"
	"standin/importer/generate"
)

func TestProgressLine(t *testing.T) {
	t.Parallel()
	began := time.Date(2024, 3, 1, 12, 0, 0, 0, time.UTC)
	reading := meterTimes{phase: began}
	after := meterTimes{phase: began, reading: 10 * time.Second}
	for _, c := range []struct {
		name  string
		p     importer.Progress
		times meterTimes
		after time.Duration
		want  string
	}{
		{"nothing yet", importer.Progress{}, reading, time.Second, ""},
		{"just begun", importer.Progress{Phase: importer.PhaseReading, File: "models.csv"}, reading, 0, "reading models.csv: 0 rows"},
		{"a tenth", importer.Progress{Phase: importer.PhaseReading, File: "configurations.csv", Rows: 1_234_000, Share: 0.1}, reading, 2 * time.Second,
			"reading configurations.csv: 1,234,000 rows, 617,000 a second, about 7m38s left"},
		{"a workbook", importer.Progress{Phase: importer.PhaseReading, File: "models", Rows: 5000}, reading, 2 * time.Second,
			"reading models: 5,000 rows, 2,500 a second"},
		{"checking", importer.Progress{Phase: importer.PhaseChecking, Rows: 5000}, after, 3 * time.Second, "checking: 5,000 rows, about 3m37s left"},
		{"writing", importer.Progress{Phase: importer.PhaseWriting, Rows: 999}, after, 5 * time.Second, "writing: 999 rows, about 2m35s left"},
		{"longer than usual", importer.Progress{Phase: importer.PhaseWriting, Rows: 999}, after, 3 * time.Minute, "writing: 999 rows, 3m0s"},
	} {
		if got := progressLine(c.p, c.times, began.Add(c.after)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Into anything but a terminal there is no progress; the import tells it for those
// who ask.
func TestProgressIsQuietInPipes(t *testing.T) {
	t.Parallel()
	if newMeter(&bytes.Buffer{}) != nil {
		t.Error("progress is shown in a buffer")
	}
	file, err := os.Create(filepath.Join(t.TempDir(), "stderr"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if newMeter(file) != nil {
		t.Error("progress is shown in a file")
	}
	var seen []string
	store, err := db.Open(t.Context(), dbtest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	_, err = importer.Run(t.Context(), bundle.NewStore(store), []string{writeBundle(t, nil)}, importer.Options{Progress: func(p importer.Progress) {
		seen = append(seen, strings.TrimSpace(string(p.Phase)+" "+p.File))
	}})
	got := strings.Join(seen, ", ")
	if err != nil || !strings.HasPrefix(got, "reading procedures.csv, ") || !strings.HasSuffix(got, "reading stock.csv, checking, writing") {
		t.Errorf("the import tells %s, %v", got, err)
	}
}

// Ctrl-C during an import ends the program at once, with a sentence, and leaves
// nothing behind.
func TestInterruptedImport(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	program := filepath.Join(dir, "standin")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	generated := filepath.Join(dir, "bundle.zip")
	if err := (generate.Catalogue{Models: 2000, Configurations: 10_000, Seed: 5}).Write(generated); err != nil {
		t.Fatal(err)
	}
	at := dbtest.New(t)
	store, err := db.Open(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	watch, err := pgx.Connect(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	defer watch.Close(context.Background())
	interrupted := 0
	for _, after := range []time.Duration{0, 200, 500, 900} {
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		defer cancel()
		c := exec.CommandContext(ctx, program, "import", generated, "--database-url", dbtest.Named(t, at, "interrupted"))
		var stdout, stderr bytes.Buffer
		c.Stdout, c.Stderr = &stdout, &stderr
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		for connected := false; !connected; time.Sleep(5 * time.Millisecond) { // a program that has not begun is just killed
			if err := watch.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_stat_activity WHERE application_name = 'interrupted' AND datname = current_database())").Scan(&connected); err != nil {
				t.Fatal(err)
			}
		}
		time.Sleep(after * time.Millisecond)
		if err := c.Process.Signal(syscall.SIGINT); err != nil {
			t.Fatal(err)
		}
		if c.Wait() == nil {
			break // it was done before
		}
		interrupted++
		if said := stderr.String(); said != "standin: stopped before it was done\n" || stdout.Len() > 0 || c.ProcessState.ExitCode() != statusFailed {
			t.Errorf("after %d ms: status %d, stdout %q, stderr %q", after, c.ProcessState.ExitCode(), &stdout, said)
		}
		if imports, err := bundle.NewStore(store).ListImports(t.Context(), 0, 10); err != nil || len(imports) > 0 {
			t.Fatalf("after %d ms: the imports are %v, %v", after, imports, err)
		}
	}
	if interrupted < 2 {
		t.Errorf("only %d imports were interrupted", interrupted)
	}
	if state, err := store.State(t.Context()); err != nil || interrupted == 4 && state.Catalogue != 0 {
		t.Errorf("the catalogue is at %+v, %v", state, err)
	}
	if got := run(t, "import", generated, "--check", "--database-url", at); got.status != statusAnswered {
		t.Errorf("the next import: status %d, %s", got.status, got.stderr)
	}
}
