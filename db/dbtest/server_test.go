package dbtest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"github.com/jackc/pgx/v5"
)

// asDoomed makes this test binary one that starts a server and waits to be killed.
const asDoomed = "STANDIN_DBTEST_DOOMED"

func TestMain(m *testing.M) {
	if os.Getenv(asDoomed) == "" {
		os.Exit(m.Run())
	}
	s, err := shared()
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	fmt.Println(s.maintenance)
	select {}
}

// However a test binary ends, its server goes.
func TestServerEndsWithTheBinary(t *testing.T) {
	t.Parallel()
	if serverFor(t); os.Getenv("STANDIN_TEST_DATABASE_URL") != "" {
		t.Log("the server is not ours: nothing to look at")
		return
	}
	doomed := exec.Command(os.Args[0])
	doomed.Env = append(os.Environ(), asDoomed+"=1")
	out, err := doomed.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := doomed.Start(); err != nil {
		t.Fatal(err)
	}
	line := urlLine(t, out)
	s, err := newServer(line)
	if err == nil {
		err = s.ping(t.Context())
	}
	if err != nil {
		t.Fatalf("the other binary has no server: %v", err)
	}
	dir := s.maintenance.Query().Get("host") // of one that was started from installed binaries
	pid := 0
	if dir != "" {
		pid = postmaster(t, dir)
	}
	if err := doomed.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	doomed.Wait()
	waitUntil(t, "the server is gone", func() bool { return s.ping(t.Context()) != nil })
	if dir != "" {
		waitUntil(t, "its process is gone", func() bool { return errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) })
		waitUntil(t, "its folder is gone", func() bool {
			_, err := os.Stat(dir)
			return errors.Is(err, fs.ErrNotExist)
		})
	}
}

// postmaster is the process number of the server in a folder.
func postmaster(t *testing.T, dir string) int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "data", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	return pid
}

func TestTemplateIsMadeOnce(t *testing.T) {
	t.Parallel()
	s := serverFor(t)
	name, err := s.template(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	// As another test binary would, beside this one; a template made anew would
	// have another number.
	before := oidOf(t, s, name)
	other, err := newServer(s.maintenance.String())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := other.template(t.Context()); err != nil {
		t.Fatal(err)
	}
	if after := oidOf(t, s, name); after != before {
		t.Errorf("the template was made anew: %d, then %d", before, after)
	}
}

func TestTemplateLeftHalfMade(t *testing.T) {
	t.Parallel()
	s := serverFor(t)
	conn := connect(t, s.maintenance.String())
	const name = "standin_template_half_made"
	if err := s.clone(t.Context(), name, "template0"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		conn, err := pgx.Connect(context.Background(), s.maintenance.String())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close(context.Background())
		if _, err := conn.Exec(context.Background(), "ALTER DATABASE "+name+" IS_TEMPLATE false"); err != nil {
			t.Error(err)
		}
		if err := s.drop(context.Background(), name); err != nil {
			t.Error(err)
		}
	})
	if err := s.makeTemplate(t.Context(), conn, name); err != nil {
		t.Fatal(err)
	}
	clone := Empty(t)
	u, err := url.Parse(clone)
	if err != nil {
		t.Fatal(err)
	}
	database := strings.TrimPrefix(u.Path, "/")
	if err := s.drop(t.Context(), database); err != nil {
		t.Fatal(err)
	}
	if err := s.clone(t.Context(), database, name); err != nil {
		t.Fatal(err)
	}
	if !tableExists(t, connect(t, clone), "schema_migrations") {
		t.Error("a template left half made was used as it was")
	}
}

func TestHash(t *testing.T) {
	t.Parallel()
	base := fstest.MapFS{"1.up.sql": {Data: []byte("ab")}, "2.up.sql": {Data: []byte("c")}}
	want := hash(t, base)
	if again := hash(t, base); again != want {
		t.Errorf("the same files have the hashes %s and %s", want, again)
	}
	for name, other := range map[string]fstest.MapFS{
		"a file more":     {"1.up.sql": base["1.up.sql"], "2.up.sql": base["2.up.sql"], "3.up.sql": {}},
		"another content": {"1.up.sql": base["1.up.sql"], "2.up.sql": {Data: []byte("d")}},
		"another name":    {"1.up.sql": base["1.up.sql"], "3.up.sql": base["2.up.sql"]},
		"moved text":      {"1.up.sql": {Data: []byte("a")}, "2.up.sql": {Data: []byte("bc")}},
	} {
		if got := hash(t, other); got == want {
			t.Errorf("%s: the hash is the same", name)
		}
	}
}

func TestChooseRefuses(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		env  map[string]string
		says string
	}{
		"an unknown way":        {map[string]string{"STANDIN_TEST_SERVER": "cloud"}, "url, installed or container"},
		"a URL that is missing": {map[string]string{"STANDIN_TEST_SERVER": "url"}, "not set"},
		"a URL that is none":    {map[string]string{"STANDIN_TEST_DATABASE_URL": "host=localhost"}, "postgres://"},
		"nobody at the URL":     {map[string]string{"STANDIN_TEST_DATABASE_URL": "postgres://x@127.0.0.1:1/x"}, "STANDIN_TEST_DATABASE_URL"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := choose(t.Context(), func(key string) string { return test.env[key] })
			if err == nil || !strings.Contains(err.Error(), test.says) {
				t.Errorf("choose says %v, want it to say %q", err, test.says)
			}
		})
	}
}

func hash(t *testing.T, files fs.FS) string {
	t.Helper()
	h, err := hashOf(files)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func oidOf(t *testing.T, s *server, database string) (oid uint32) {
	t.Helper()
	err := connect(t, s.maintenance.String()).
		QueryRow(t.Context(), "SELECT oid FROM pg_database WHERE datname = $1", database).Scan(&oid)
	if err != nil {
		t.Fatal(err)
	}
	return oid
}

// urlLine reads until a line that is a URL, past what a library may print.
func urlLine(t *testing.T, out io.Reader) string {
	t.Helper()
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), "postgres://") {
			return lines.Text()
		}
		t.Log(lines.Text())
	}
	t.Fatal("the other binary did not start a server")
	return ""
}

func waitUntil(t *testing.T, what string, is func() bool) {
	t.Helper()
	for range 500 {
		if is() {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Errorf("not so after ten seconds: %s", what)
}
