package private

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
)

func TestStartMakesTheDatabase(t *testing.T) {
	t.Parallel()
	s := startIn(t, newDir(t))
	conn := connect(t, s.URL())
	var database, role string
	var super bool
	err := conn.QueryRow(t.Context(),
		"SELECT current_database(), current_user, rolsuper FROM pg_roles WHERE rolname = current_user").
		Scan(&database, &role, &super)
	if err != nil {
		t.Fatal(err)
	}
	if database != "standin" || role != "standin" || super {
		t.Errorf("database %s, role %s, superuser %t; want standin, standin, false", database, role, super)
	}
	// What the migrations need must be allowed to a role that is no superuser.
	run(t, conn, "CREATE EXTENSION btree_gist", "CREATE EXTENSION pg_trgm", "CREATE TABLE t ()")
}

func TestOnlyTheSocketLeadsIn(t *testing.T) {
	t.Parallel()
	s := startIn(t, newDir(t))
	conn := connect(t, s.home.url(superuser, "postgres"))
	var addresses string
	if err := conn.QueryRow(t.Context(), "SHOW listen_addresses").Scan(&addresses); err != nil || addresses != "" {
		t.Errorf("listens on %q (%v), want nothing", addresses, err)
	}
	info, err := os.Stat(s.home.socket)
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm() != 0o700 {
		t.Errorf("the socket's folder has mode %v, want 0700", info.Mode().Perm())
	}
}

func TestLastOneStopsTheServer(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	first, second := startIn(t, dir), startIn(t, dir)
	pid := postmaster(t, first)
	if joined := postmaster(t, second); joined != pid {
		t.Fatalf("the second started server %d beside %d", joined, pid)
	}
	stop(t, first)
	if !second.home.answers(t.Context()) {
		t.Error("the first to leave stopped the server that the second uses")
	}
	stop(t, second)
	if alive(pid) {
		t.Error("the last to leave left the server running")
	}
	stop(t, second) // does nothing
}

func TestDataOutlivesTheServer(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	s := startIn(t, dir)
	run(t, connect(t, s.URL()), "CREATE TABLE kept AS SELECT 7 AS n")
	stop(t, s)
	wantKept(t, startIn(t, dir))
}

func TestStartedAtOnce(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	var all sync.WaitGroup
	servers := make([]*Server, 4)
	for i := range servers {
		all.Go(func() {
			s, err := Start(t.Context(), Config{Dir: dir})
			if err != nil {
				t.Error(err)
			}
			servers[i] = s
		})
	}
	all.Wait()
	if t.Failed() {
		t.FailNow()
	}
	pid := postmaster(t, servers[0])
	for _, s := range servers {
		connect(t, s.URL())
		all.Go(func() { stop(t, s) })
	}
	all.Wait()
	if alive(pid) {
		t.Error("the server runs on after all have left at once")
	}
}

func TestLongPath(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(newDir(t), strings.Repeat("a folder's 'long' \"name\", ", 8))
	s := startIn(t, dir)
	if s.home.socket == s.home.pg {
		t.Fatalf("the socket is in %s, of %d bytes", s.home.socket, len(s.home.socket))
	}
	connect(t, s.URL())
	stop(t, s)
	if _, err := os.Stat(s.home.socket); !os.IsNotExist(err) {
		t.Errorf("the socket's folder %s is left (%v)", s.home.socket, err)
	}
}

func TestSocketFolderOfSomebodyElse(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	long := filepath.Join(dir, strings.Repeat("x", longestSocket))
	h, err := openHome(long)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(h.socket, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Remove(h.socket) })
	_, err = Start(t.Context(), Config{Dir: long})
	wantError(t, err, h.socket, "mode 0700")
}

func startIn(t *testing.T, dir string) *Server {
	t.Helper()
	s, err := Start(t.Context(), Config{Dir: dir, Log: t.Logf})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	})
	return s
}

func stop(t *testing.T, s *Server) {
	t.Helper()
	if err := s.Stop(t.Context()); err != nil {
		t.Error(err)
	}
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}

func run(t *testing.T, conn *pgx.Conn, statements ...string) {
	t.Helper()
	for _, statement := range statements {
		if _, err := conn.Exec(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
}

func wantKept(t *testing.T, s *Server) {
	t.Helper()
	var n int
	if err := connect(t, s.URL()).QueryRow(t.Context(), "SELECT n FROM kept").Scan(&n); err != nil || n != 7 {
		t.Errorf("kept %d (%v), want 7", n, err)
	}
}
