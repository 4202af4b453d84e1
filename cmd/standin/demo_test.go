package main

import (
	"net/http"
	"os"
	"strings"
	"testing"

	"standin/db/private"
)

// dataDir is a folder that PostgreSQL's account may enter, as it may not those
// of testing.
func dataDir(t *testing.T) string {
	t.Helper()
	if _, ok := private.Find(0); !ok {
		t.Fatal("this test needs PostgreSQL's programs, 15 or newer (Debian: apt-get install postgresql)")
	}
	dir, err := os.MkdirTemp("/tmp", "standin-demo-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestDemo runs the demo twice in a row, and then two at once.
func TestDemo(t *testing.T) {
	t.Parallel()
	dir := dataDir(t)
	first := run(t, "demo", "--once", "--data-dir", dir)
	if first.status != statusAnswered {
		t.Fatalf("status %d: %s", first.status, first.stderr)
	}
	for _, says := range []string{demoMachine.ModelKey.String(), "What settles it:", "add --plug 10", "adaptor", "depends on the build", " fits", "code  ", "pattern  ", "Before it is fitted", "Cautions"} {
		if !strings.Contains(first.stdout, says) {
			t.Errorf("the first answer does not say %q:\n%s", says, first.stdout)
		}
	}
	s := startServing(t, "demo", "--data-dir", dir)
	if s.stdout.String() != first.stdout {
		t.Errorf("the second time it answers otherwise, so the import was repeated:\n%s\nfirst:\n%s", s.stdout, first.stdout)
	}
	if got := s.statusOf(t, "/v1/fits?brand=Fenlask&model=Vask+690"); got != http.StatusOK {
		t.Errorf("GET /v1/fits: status %d", got)
	}
	taken := strings.TrimPrefix(s.url, "http://")
	if got := run(t, "demo", "--data-dir", dir, "--listen", taken); got.status != statusFailed || !strings.Contains(got.stderr, "is in use") {
		t.Errorf("a second at once on the same port: status %d, stderr %q", got.status, got.stderr)
	}
	joined := startServing(t, "demo", "--data-dir", dir)
	if status := s.stop(); status != statusAnswered {
		t.Errorf("the first stopped with status %d: %s", status, s.stderr)
	}
	if got := joined.statusOf(t, "/v1/fits?brand=Fenlask&model=Vask+690"); got != http.StatusOK {
		t.Errorf("the one that joined, after the first stopped: status %d", got)
	}
	if status := joined.stop(); status != statusAnswered {
		t.Errorf("the one that joined stopped with status %d: %s", status, joined.stderr)
	}
}

// TestDemoLeavesTheRealCatalogueAlone imports the demo beside an empty one.
func TestDemoLeavesTheRealCatalogueAlone(t *testing.T) {
	t.Parallel()
	dir := dataDir(t)
	if got := run(t, "demo", "--once", "--data-dir", dir); got.status != statusAnswered {
		t.Fatalf("status %d: %s", got.status, got.stderr)
	}
	got := run(t, "imports", "--data-dir", dir)
	if got.status != statusAnswered || !strings.Contains(got.stdout, "Nothing has been imported yet") {
		t.Errorf("status %d, imports: %s%s", got.status, got.stdout, got.stderr)
	}
}
