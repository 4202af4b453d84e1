package private

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var nothing = source{
	find:  func(int) (Binaries, bool) { return Binaries{}, false },
	fetch: func(context.Context, string) error { return errors.New("no network\nand more to tell about it") },
}

func TestNothingInstalled(t *testing.T) {
	t.Parallel()
	_, err := start(t.Context(), Config{Dir: folder(t)}, nothing)
	wantError(t, err, "no PostgreSQL is installed", "apt-get install postgresql", "--database-url")
	if root := os.Geteuid() == 0; root == strings.Contains(err.Error(), "no network") {
		t.Errorf("as root %t: %v; want a fetch tried by all but root", root, err)
	}
}

// What was fetched before is used; for root, too, for whom nothing is fetched.
func TestFetchedBefore(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	playFetch(t, filepath.Join(dir, "postgresql"))
	s, err := start(t.Context(), Config{Dir: dir}, nothing)
	if err != nil {
		t.Fatal(err)
	}
	connect(t, s.URL())
	stop(t, s)
}

func TestFetch(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	fetched := false
	from := source{find: nothing.find, fetch: func(_ context.Context, dir string) error {
		fetched = true
		playFetch(t, dir)
		return nil
	}}
	s, err := start(t.Context(), Config{Dir: dir}, from)
	if os.Geteuid() == 0 {
		if err == nil || fetched {
			t.Errorf("for root: fetched %t, error %v; want nothing fetched and an error", fetched, err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	connect(t, s.URL())
	stop(t, s)
}

// playFetch lets the installed programs play those that are fetched.
func playFetch(t *testing.T, dir string) {
	t.Helper()
	installed, _ := Find(0)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(installed.Dir, filepath.Join(dir, "bin")); err != nil {
		t.Fatal(err)
	}
}

func TestDataOfAnotherVersion(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	stop(t, startIn(t, dir))
	version := filepath.Join(dir, "pg", "data", "PG_VERSION")
	if err := os.WriteFile(version, []byte("9\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Start(t.Context(), Config{Dir: dir})
	wantError(t, err, "made by PostgreSQL 9", "not installed", "install PostgreSQL 9")
	if err := os.WriteFile(version, []byte("rubbish\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Start(t.Context(), Config{Dir: dir})
	wantError(t, err, "not a PostgreSQL database", "rubbish")
}

func TestFolderCannotBeUsed(t *testing.T) {
	t.Parallel()
	aFile := filepath.Join(newDir(t), "file")
	if err := os.WriteFile(aFile, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	closed := newDir(t)
	if err := os.Chmod(closed, 0o500); err != nil {
		t.Fatal(err)
	}
	shared := newDir(t)
	if err := os.Mkdir(filepath.Join(shared, "pg"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, dir := range map[string]string{
		"a file":                      aFile,
		"below a file":                filepath.Join(aFile, "below"),
		"closed to the account":       closed,
		"open to others, made before": shared,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Start(t.Context(), Config{Dir: dir})
			wantError(t, err, "cannot keep the private database in "+dir)
		})
	}
}

func TestSettingsThatAreRefused(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	s := startIn(t, dir)
	stop(t, s)
	conf := filepath.Join(s.home.data(), "postgresql.auto.conf")
	if err := os.WriteFile(conf, []byte("shared_buffers = 'plenty'\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Start(t.Context(), Config{Dir: dir})
	wantError(t, err, "does not start", "errors")
}

func TestSomebodyElseIsStarting(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	h, err := openHome(dir)
	if err != nil {
		t.Fatal(err)
	}
	lock, err := h.lock(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Close()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Start(ctx, Config{Dir: dir})
	wantError(t, err, "another program is starting or stopping", dir)
}

// wantError checks that there is an error of one line that says all of these.
func wantError(t *testing.T, err error, says ...string) {
	t.Helper()
	if err == nil {
		t.Fatalf("no error, want one that says %q", says)
	}
	if strings.Contains(err.Error(), "\n") {
		t.Errorf("the error has several lines: %v", err)
	}
	for _, want := range says {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("the error is %q; want it to say %q", err, want)
		}
	}
}
