package bundle

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/dbtest"
	"standin/db/internal/pg"
	"standin/db/private"
	"standin/importer/generate"
	"standin/migrations"
)

// An import that is struck at a random moment, in whatever way, leaves the
// catalogue as it was before or as it is after, never between, and the next import
// works. STANDIN_TEST_KILL_ROWS makes the bundle larger, the moments are as many.

const killSeed = 20 // of the moments

// struck is a catalogue whose imports are struck.
type struck struct {
	*testing.T
	db     *database
	url    string // for the importing program
	bundle string
	rand   *rand.Rand
	span   time.Duration // that an import takes
	before string
	after  string
	done   int // imports that were committed before they were struck
}

// newStruck fills a catalogue, and measures an import that nothing happens to.
func newStruck(t *testing.T, direct, through string) *struck {
	t.Helper()
	rows := 2000
	if n, err := strconv.Atoi(os.Getenv("STANDIN_TEST_KILL_ROWS")); err == nil {
		rows = n
	}
	s := &struck{T: t, url: through, bundle: filepath.Join(t.TempDir(), "bundle"), rand: rand.New(rand.NewPCG(killSeed, uint64(len(t.Name()))))}
	if err := (generate.Catalogue{Models: rows / 5, Configurations: rows, Seed: 3}).Write(s.bundle); err != nil {
		t.Fatal(err)
	}
	s.db = openAt(t, direct)
	put(t, s.db, calm)
	s.before = s.fingerprint()
	began := time.Now()
	s.mustImport()
	s.span = time.Since(began)
	s.after = s.fingerprint()
	s.undoLast()
	return s
}

// fingerprint is a sum over every row of every file. It waits for a server that is
// on its way down and up again.
func (s *struck) fingerprint() string {
	s.Helper()
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		sum, err := s.sum()
		if err == nil {
			return sum
		}
		if time.Since(began) > 30*time.Second {
			s.Fatal(err)
		}
		s.db.pool.Reset()
	}
}

// sum is of one moment.
func (s *struck) sum() (string, error) {
	tx, err := s.db.pool.BeginTx(s.Context(), pgx.TxOptions{IsoLevel: pgx.RepeatableRead})
	if err != nil {
		return "", err
	}
	defer pg.Rollback(s.Context(), tx)
	var all strings.Builder
	for _, f := range standin.Files {
		var n int
		var sum string
		err := tx.QueryRow(s.Context(), fmt.Sprintf("SELECT count(*), coalesce(sum(hashtextextended(b::text, 0)), 0)::text FROM bundle.%s b", f.Name)).Scan(&n, &sum)
		if err != nil {
			return "", err
		}
		fmt.Fprintln(&all, f.Name, n, sum)
	}
	return all.String(), nil
}

func (s *struck) mustImport() {
	s.Helper()
	if c := newChild(s.url, s.bundle); c.Run() != nil {
		s.Fatalf("an import that nothing happens to: %s", c.said())
	}
}

func (s *struck) undoLast() {
	s.Helper()
	last, err := s.db.ListImports(s.Context(), 0, 1)
	if err != nil || len(last) != 1 {
		s.Fatalf("%v, %v", last, err)
	}
	undo(s, s.db, last[0].ID)
	if now := s.fingerprint(); now != s.before {
		s.Fatalf("after the undo the catalogue is\n%s, and was\n%s", now, s.before)
	}
}

// strike strikes imports at random moments. Hit may return what is to be done once
// the import has ended.
func (s *struck) strike(moments int, hit func(c *child) func()) {
	s.Helper()
	for range moments {
		c := newChild(s.url, s.bundle)
		if err := c.Start(); err != nil {
			s.Fatal(err)
		}
		after := time.Duration(s.rand.Int64N(int64(s.span) * 3 / 4))
		time.Sleep(after)
		restore := hit(c)
		err := c.Wait()
		if restore != nil {
			restore()
		}
		s.check(err, c, after)
		s.awaitEnd()
	}
	s.mustImport()
	if now := s.fingerprint(); now != s.after {
		s.Errorf("the next import makes\n%s, want\n%s", now, s.after)
	}
	s.Logf("%d imports of %s struck, %d of them were done already", moments, s.span.Round(time.Millisecond), s.done)
}

// awaitEnd waits until the server has noticed that the import is no more.
func (s *struck) awaitEnd() {
	s.Helper()
	began := time.Now()
	for held := 1; held > 0; time.Sleep(20 * time.Millisecond) {
		err := s.db.pool.QueryRow(s.Context(), `SELECT count(*) FROM pg_locks
			WHERE locktype = 'advisory' AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`).Scan(&held)
		if err != nil {
			held = 1 // the server may be coming back
		}
		if time.Since(began) > 20*time.Second {
			s.Fatalf("%d imports still go on after %s: %v", held, time.Since(began), err)
		}
	}
}

// awaitRestart waits until a server of which a backend was killed has ended all
// others and is back. It lists the dead one until then.
func (s *struck) awaitRestart(killed int) {
	s.Helper()
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		s.db.pool.Reset() // its connections may be to backends that are ended
		var listed bool
		err := s.db.pool.QueryRow(s.Context(), "SELECT EXISTS (SELECT FROM pg_stat_activity WHERE pid = $1)", killed).Scan(&listed)
		if err == nil && !listed {
			return
		}
		if time.Since(began) > time.Minute {
			s.Fatalf("the server is not back %s after its process %d was killed (listed: %t, %v)", time.Since(began), killed, listed, err)
		}
	}
}

func (s *struck) check(err error, c *child, after time.Duration) {
	s.Helper()
	switch now := s.fingerprint(); now {
	case s.before:
		if err == nil {
			s.Errorf("struck after %s: the import says it was done (%s), but the catalogue is as before", after, c.said())
		}
	case s.after:
		s.done++
		s.undoLast()
	default:
		s.Fatalf("struck after %s the catalogue is between:\n%s\nbefore\n%s\nafter\n%s", after, now, s.before, s.after)
	}
}

func TestStruckProgramIsKilled(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	newStruck(t, at, at).strike(8, func(c *child) func() { c.Process.Kill(); return nil })
}

func TestStruckConnectionIsCut(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	through, cut := proxyTo(t, at)
	newStruck(t, at, through).strike(5, func(*child) func() { cut(); return nil })
}

func TestStruckServerEndsTheConnection(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	s := newStruck(t, at, dbtest.Named(t, at, "struck"))
	s.strike(3, func(*child) func() {
		if _, err := s.db.pool.Exec(t.Context(), `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
			WHERE application_name = 'struck' AND datname = current_database()`); err != nil {
			t.Error(err)
		}
		return nil
	})
}

// A backend that is killed takes every other with it, the server comes back by
// itself; a server that is killed is started again.
func TestStruckServerIsKilled(t *testing.T) {
	t.Parallel()
	dir := openDir(t)
	at := startPrivate(t, dir)
	s := newStruck(t, at, dbtest.Named(t, at, "struck"))
	s.strike(3, func(*child) func() {
		var pid int
		err := s.db.pool.QueryRow(t.Context(), "SELECT pid FROM pg_stat_activity WHERE application_name = 'struck' LIMIT 1").Scan(&pid)
		if err != nil { // the import is not there yet
			return nil
		}
		syscall.Kill(pid, syscall.SIGKILL)
		return func() { s.awaitRestart(pid) }
	})
	s.strike(2, func(*child) func() {
		syscall.Kill(postmasterOf(t, dir), syscall.SIGKILL)
		return func() { startPrivate(t, dir); s.db.pool.Reset() }
	})
}

// On a full disk the import ends, and once there is room again the next one works.
func TestStruckByAFullDisk(t *testing.T) {
	t.Parallel()
	dir := openDir(t)
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=320m,mode=755"); err != nil {
		t.Skipf("no disk can be mounted that is easily full (it takes root): %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(dir, syscall.MNT_DETACH) })
	home, filler := filepath.Join(dir, "home"), filepath.Join(dir, "filler")
	at := startPrivate(t, home)
	s := newStruck(t, at, at)
	s.strike(3, func(*child) func() {
		fill(t, dir, filler, int64(s.rand.IntN(256))<<10)
		return func() {
			os.Remove(filler)
			s.db.pool.Reset()
			if s.db.Ready(t.Context()) != nil {
				startPrivate(t, home)
				s.db.pool.Reset()
			}
		}
	})
}

// fill leaves so many bytes of a disk.
func fill(t *testing.T, dir, filler string, leave int64) {
	t.Helper()
	var disk syscall.Statfs_t
	if err := syscall.Statfs(dir, &disk); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(filler)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := syscall.Fallocate(int(f.Fd()), 0, 0, max(1, int64(disk.Bavail)*disk.Bsize-leave)); err != nil && !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
}

// startPrivate starts a server of the test's own, or the same again, and returns
// the URL of its catalogue.
func startPrivate(t *testing.T, dir string) string {
	t.Helper()
	if _, ok := private.Find(0); !ok {
		t.Skip(dbtest.NoServer + "none is installed that could be killed")
	}
	server, err := private.Start(t.Context(), private.Config{Dir: dir, Log: t.Logf})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { server.Stop(context.Background()) })
	if err := migrations.Up(t.Context(), server.URL()); err != nil {
		t.Fatal(err)
	}
	return server.URL()
}

// openDir is a folder that the account of a server may enter.
func openDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "standin-struck-") // in memory, where there is such a place
	if err != nil {
		dir, err = os.MkdirTemp("", "standin-struck-")
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

func postmasterOf(t *testing.T, dir string) int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "pg", "data", "postmaster.pid"))
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

// proxyTo is a way to a server by which all connections can be cut.
func proxyTo(t *testing.T, at string) (through string, cut func()) {
	t.Helper()
	config, err := pgx.ParseConfig(at)
	if err != nil {
		t.Fatal(err)
	}
	network, address := pgxNetwork(config)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	open := make(chan net.Conn, 100)
	go func() {
		for {
			in, err := l.Accept()
			if err != nil {
				return
			}
			out, err := net.Dial(network, address)
			if err != nil {
				in.Close()
				continue
			}
			open <- in
			open <- out
			go func() { io.Copy(in, out); in.Close() }()
			go func() { io.Copy(out, in); out.Close() }()
		}
	}()
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	u.Host = l.Addr().String()
	u.RawQuery = "sslmode=disable"
	return u.String(), func() {
		for {
			select {
			case c := <-open:
				c.Close()
			default:
				return
			}
		}
	}
}

func pgxNetwork(config *pgx.ConnConfig) (network, address string) {
	if strings.HasPrefix(config.Host, "/") {
		return "unix", filepath.Join(config.Host, fmt.Sprintf(".s.PGSQL.%d", config.Port))
	}
	return "tcp", net.JoinHostPort(config.Host, strconv.Itoa(int(config.Port)))
}
