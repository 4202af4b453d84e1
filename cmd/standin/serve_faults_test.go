package main

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin/db/dbtest"
	"standin/db/private"
	"standin/migrations"
)

// faulty is a database server of the test's own, that may be spoiled.
type faulty struct {
	url, dir string
	server   *private.Server
	small    string // where a small disk is mounted, if one can be
}

func newFaulty(t *testing.T) *faulty {
	t.Helper()
	if _, ok := private.Find(0); !ok {
		t.Skip(dbtest.NoServer + "none is installed that could be spoiled")
	}
	dir, err := os.MkdirTemp("/tmp", "standin-faulty-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	small := mountSmall(t, dir)
	server, err := private.Start(t.Context(), private.Config{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { server.Stop(context.Background()) })
	if err := migrations.Up(t.Context(), server.URL()); err != nil {
		t.Fatal(err)
	}
	if got := run(t, "import", writeBundle(t, nil), "--database-url", server.URL(), "--by", "Ada"); got.status != statusAnswered {
		t.Fatalf("the bundle is not imported: %s", got.stderr)
	}
	return &faulty{server.URL(), dir, server, small}
}

// mountSmall mounts a disk in memory, easily full, for a server's files; empty where
// that cannot be: it takes root.
func mountSmall(t *testing.T, dir string) string {
	if syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=320m,mode=755") != nil {
		return ""
	}
	t.Cleanup(func() { syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// fill takes what is left of the disk.
func (f *faulty) fill(t *testing.T) {
	t.Helper()
	if f.small == "" {
		t.Skip("no disk can be mounted that is easily full (it takes root)")
	}
	filler, err := os.Create(filepath.Join(f.small, "filler"))
	if err != nil {
		t.Fatal(err)
	}
	defer filler.Close()
	for size := 1 << 20; size > 0; size /= 2 { // to the last page
		for block := make([]byte, size); err == nil; {
			_, err = filler.Write(block)
		}
		if !errors.Is(err, syscall.ENOSPC) {
			t.Fatal(err)
		}
		err = nil
	}
}

// signal sends a signal to every process of the server, the first among them.
func (f *faulty) signal(t *testing.T, signal syscall.Signal) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(f.dir, "pg", "data", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	children, err := os.ReadFile("/proc/" + first + "/task/" + first + "/children")
	if err != nil {
		t.Fatal(err)
	}
	for _, child := range append([]string{strconv.Itoa(pid)}, strings.Fields(string(children))...) {
		if n, err := strconv.Atoi(child); err == nil {
			_ = syscall.Kill(n, signal) // one that has ended since needs none
		}
	}
}

func (f *faulty) connect(t *testing.T) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), f.url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}

func (f *faulty) exec(t *testing.T, sql string) {
	t.Helper()
	if _, err := f.connect(t).Exec(t.Context(), sql); err != nil {
		t.Fatal(err)
	}
}

// Whatever the database does, readiness and a question are answered, and in time: a
// client of 20 s would give up on what waits for the database.
func TestServeWhateverTheDatabaseDoes(t *testing.T) {
	t.Parallel()
	const readiness, question, change = "GET /readyz", "GET /v1/fits?brand=Corvane&model=DW+640", "POST /v1/holds"
	const away, fine = "503 /problems/unavailable", "200 "
	for _, test := range []struct {
		name  string
		spoil func(*testing.T, *faulty)
		want  map[string]string
	}{
		{"nothing", func(*testing.T, *faulty) {}, map[string]string{readiness: fine, question: fine, change: "201 "}},
		{"away", func(t *testing.T, f *faulty) {
			if err := f.server.Stop(t.Context()); err != nil {
				t.Fatal(err)
			}
		}, map[string]string{readiness: away, question: away}},
		{"stuck", func(t *testing.T, f *faulty) {
			f.signal(t, syscall.SIGSTOP)
			t.Cleanup(func() { f.signal(t, syscall.SIGCONT) })
		}, map[string]string{readiness: away, question: away}},
		{"a locked table", func(t *testing.T, f *faulty) {
			conn := f.connect(t)
			if _, err := conn.Exec(t.Context(), `BEGIN; LOCK TABLE models IN ACCESS EXCLUSIVE MODE`); err != nil {
				t.Fatal(err)
			}
		}, map[string]string{readiness: fine, question: away}},
		{"read-only", func(t *testing.T, f *faulty) {
			f.exec(t, `ALTER DATABASE standin SET default_transaction_read_only = on`)
			f.exec(t, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() AND datname = 'standin'`)
		}, map[string]string{readiness: fine, question: fine, change: away}},
		{"connections exhausted", func(t *testing.T, f *faulty) {
			f.exec(t, `ALTER DATABASE standin CONNECTION LIMIT 0; SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() AND datname = 'standin'`)
		}, map[string]string{readiness: away, question: away}},
		{"disk full", func(t *testing.T, f *faulty) { f.fill(t) },
			map[string]string{readiness: fine, question: fine, change: "507 /problems/no-space"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			f := newFaulty(t)
			text := strings.TrimSpace(run(t, "token", "add", "bench", "--scope", "stock", "--database-url", f.url).stdout)
			s := startServing(t, "serve", "--database-url", f.url, "--question-time", "2s", "--ready-time", "1s")
			test.spoil(t, f)
			for asked, want := range test.want {
				if got := s.outcomeOf(t, asked, text); got != want {
					t.Errorf("%s: %q, want %q", asked, got, want)
				}
			}
		})
	}
}

// inAnHour is one time for every request, which an idempotency key stands for.
var inAnHour = time.Now().Add(time.Hour).UTC().Format(time.RFC3339)

// outcomeOf is the status of a request, and of a problem its type.
func (s *serving) outcomeOf(t *testing.T, asked, token string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	method, path, _ := strings.Cut(asked, " ")
	body := ""
	if method == http.MethodPost {
		body = `{"location": "front", "part_number": "QX-1", "revision": "A", "condition": "new", "quantity": 1, "until": "` + inAnHour + `", "for": "Ada"}`
	}
	request, err := http.NewRequestWithContext(ctx, method, s.url+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if method == http.MethodPost {
		request.Header.Set("Content-Type", "application/json")
		request.Header.Set("Idempotency-Key", "once")
		for word := range strings.FieldsSeq(token) {
			if strings.HasPrefix(word, "standin_") {
				request.Header.Set("Authorization", "Bearer "+word)
			}
		}
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Errorf("%s: %v", asked, err)
		return ""
	}
	defer response.Body.Close()
	var problem struct{ Type, Detail string }
	if err := json.NewDecoder(response.Body).Decode(&problem); err != nil {
		t.Errorf("%s: %v", asked, err)
	}
	if response.StatusCode >= 400 {
		t.Logf("%s: %s", asked, problem.Detail)
	}
	if response.StatusCode == http.StatusServiceUnavailable && response.Header.Get("Retry-After") == "" {
		t.Errorf("%s: it does not say when to ask again", asked)
	}
	return strconv.Itoa(response.StatusCode) + " " + problem.Type
}
