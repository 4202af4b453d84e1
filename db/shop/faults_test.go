package shop_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	osexec "os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/db/private"
	"standin/db/shop"
	"standin/importer"
	"standin/importer/generate"
	"standin/migrations"
)

// faultKills is how often TestFaults kills, unless STANDIN_TEST_KILLS says it.
const faultKills = 8

// TestFaults kills the program, a backend of it, or the server, at random moments
// while calls are made and a bundle is imported and undone. After each, the shop is
// as if every call that was answered was made once, and every other once or never:
// the quantities are what the moves come to, no more is on hold than there is, the
// feed makes a copy without a gap, the catalogue is as before the import or as after
// it, and a call that is made again has the answer that it had.
func TestFaults(t *testing.T) {
	t.Parallel()
	kills := faultKills
	if n, err := strconv.Atoi(os.Getenv("STANDIN_TEST_KILLS")); err == nil {
		kills = n
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	f := newFaults(t, rand.New(rand.NewPCG(seed, 0)))
	ways := []struct {
		name string
		kill func(*osexec.Cmd)
	}{
		{"program", func(c *osexec.Cmd) { c.Process.Kill() }},
		{"backends ended", f.endBackends},
		{"backend killed", f.killBackend},
		{"server shut down", func(*osexec.Cmd) { f.killServer(syscall.SIGQUIT) }},
		{"server killed", func(*osexec.Cmd) { f.killServer(syscall.SIGKILL) }},
	}
	done := map[string]int{}
	for run := range kills {
		way := ways[run%len(ways)]
		f.run(uint64(run), way.kill)
		done[way.name]++
		f.check(run%25 == 24 || run == kills-1)
		if t.Failed() {
			t.Fatalf("after %d kills, the last: %s", run+1, way.name)
		}
		if run%25 == 24 || run == kills-1 {
			t.Logf("%d kills, %v; calls: %d answered, %d refused, %d cut off, of which %d had been made; catalogue: %d times as before, %d as imported; %d rows of the feed",
				run+1, done, f.answered, f.refused, f.cutOff, f.madeUnsaid, f.seen[f.before], f.seen[f.after], f.rows)
		}
	}
}

// faults is a shop at a server of its own that is killed.
type faults struct {
	*testing.T
	dir, url, folder string
	rand             *rand.Rand
	store            *shop.Store
	database         *db.DB
	copy             *mirror
	before, after    string // the catalogue without and with the bundle
	seen             map[string]int
	span             time.Duration // that an import and its undoing take

	calls  map[string]said // by key, since the last check; Answer is empty where it was cut off
	counts [3]int          // moves, holds and fittings that were answered, over all

	answered, refused, cutOff, madeUnsaid, rows int
}

// board is what the calls are about. It is not in the bundle.
const board = `
INSERT INTO parts (part_number, kind) VALUES ('70-1001', 'board');
INSERT INTO boards (part_id) SELECT id FROM parts;
INSERT INTO revisions (part_id, revision) SELECT id, label FROM parts, unnest(ARRAY['A', 'B']) AS label`

func newFaults(t *testing.T, r *rand.Rand) *faults {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "standin-faults-") // in memory, where there is such a place
	if err != nil {
		dir, err = os.MkdirTemp("", "standin-faults-")
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	f := &faults{T: t, dir: dir, folder: filepath.Join(t.TempDir(), "bundle"), rand: r, seen: map[string]int{}, calls: map[string]said{}}
	f.start()
	if err := migrations.Up(t.Context(), f.url); err != nil {
		t.Fatal(err)
	}
	f.store, f.database = openAt(t, f.url)
	exec(t, f.database, board)
	if err := (generate.Catalogue{Models: 15, Configurations: 50, Seed: 3}).Write(f.folder); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(f.folder, "stock.csv")); err != nil { // the stock is the calls' alone
		t.Fatal(err)
	}
	f.before = f.catalogue()
	began := time.Now()
	report, err := importer.Run(t.Context(), bundle.NewStore(f.database), []string{f.folder}, importer.Options{By: "keeper"})
	if err != nil || !report.Committed {
		t.Fatalf("%v, %s", err, report.Summary())
	}
	f.after = f.catalogue()
	if err := undoLast(t.Context(), bundle.NewStore(f.database)); err != nil {
		t.Fatal(err)
	}
	f.span = time.Since(began)
	if now := f.catalogue(); now != f.before || now == f.after {
		t.Fatalf("undone, the catalogue is\n%s, want\n%s", now, f.before)
	}
	f.copy = &mirror{rows: stored(t, f.database)}
	for _, row := range readAll(t, f.store, standin.FeedPosition{}, 1000) {
		f.copy.after = row.FeedPosition
	}
	return f
}

func (f *faults) start() {
	f.Helper()
	if _, ok := private.Find(0); !ok {
		f.Skip(dbtest.NoServer + "none is installed that could be killed")
	}
	server, err := private.Start(f.Context(), private.Config{Dir: f.dir, Log: f.Logf})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { server.Stop(context.Background()) })
	f.url = server.URL()
}

// run has the program work until it is killed, or ends it some time after its server
// was, and takes note of what it said.
func (f *faults) run(run uint64, kill func(*osexec.Cmd)) {
	f.Helper()
	var out, wrong bytes.Buffer
	c := osexec.Command(os.Args[0])
	c.Env = append(os.Environ(), childURL+"="+dbtest.Named(f, f.url, childName), childBundle+"="+f.folder, childRun+"="+strconv.FormatUint(run, 10))
	c.Stdout, c.Stderr = &out, &wrong
	if err := c.Start(); err != nil {
		f.Fatal(err)
	}
	f.sleep(4 * f.span)
	kill(c)
	f.sleep(50 * time.Millisecond)
	c.Process.Kill()
	c.Wait()
	if wrong.Len() > 0 {
		f.Errorf("the program: %s", wrong.String())
	}
	for text := range strings.Lines(out.String()) {
		var s said
		if !strings.HasSuffix(text, "\n") {
			continue // cut off amid a line
		}
		if err := json.Unmarshal([]byte(text), &s); err != nil {
			f.Errorf("the program says %s", text)
		}
		if s.Wrong != "" {
			f.Errorf("%+v: %s", s.Call, s.Wrong)
		}
		if s.Call.Key != "" {
			f.calls[s.Call.Key] = s
		}
	}
}

func (f *faults) sleep(most time.Duration) { time.Sleep(time.Duration(f.rand.Int64N(int64(most)))) }

func (f *faults) endBackends(*osexec.Cmd) {
	exec(f, f.database, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = $1`, childName)
}

// killBackend kills a backend, with which the server ends all and comes back.
func (f *faults) killBackend(*osexec.Cmd) {
	var pid int
	err := f.database.Pool().QueryRow(f.Context(), `SELECT coalesce((SELECT pid FROM pg_stat_activity WHERE application_name = $1 ORDER BY random() LIMIT 1), 0)`, childName).Scan(&pid)
	if err != nil {
		f.Fatal(err)
	}
	if pid > 1 {
		_ = syscall.Kill(pid, syscall.SIGKILL) // one that has ended is as wanted
	}
	for began := time.Now(); syscall.Kill(pid, 0) == nil && pid > 1 && time.Since(began) < time.Minute; {
		time.Sleep(time.Millisecond)
	}
}

// killServer ends the server without a word to its clients, and starts it again.
func (f *faults) killServer(signal syscall.Signal) {
	f.Helper()
	text, err := os.ReadFile(filepath.Join(f.dir, "pg", "data", "postmaster.pid"))
	if err != nil {
		f.Fatal(err)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil || pid < 2 {
		f.Fatalf("the server's process is %q", first)
	}
	if err := syscall.Kill(pid, signal); err != nil {
		f.Fatal(err)
	}
	for began := time.Now(); !isGone(pid); time.Sleep(time.Millisecond) {
		if time.Since(began) > time.Minute {
			f.Fatalf("server %d is still there", pid)
		}
	}
	f.start()
}

func isGone(pid int) bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err != nil || strings.Contains(string(stat), ") Z ")
}

// awaitEnd waits until the server is back and has noticed that the program is no more.
func (f *faults) awaitEnd() {
	f.Helper()
	f.database.Pool().Reset()
	for began := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		var left int
		err := f.database.Pool().QueryRow(f.Context(), `SELECT count(*) FROM pg_stat_activity WHERE application_name = $1`, childName).Scan(&left)
		if err == nil && left == 0 {
			return
		}
		if time.Since(began) > time.Minute {
			f.Fatalf("%d backends of the program are left after a minute, %v", left, err)
		}
	}
}

// check holds what is stored against what was answered, and now and then the copy
// as a whole against what is stored.
func (f *faults) check(whole bool) {
	f.Helper()
	f.awaitEnd()
	catalogue := f.catalogue()
	f.seen[catalogue]++
	if catalogue != f.before && catalogue != f.after {
		f.Errorf("the catalogue is between:\n%s\nbefore\n%s\nafter\n%s", catalogue, f.before, f.after)
	}
	f.again()
	f.consistent()
	f.follow(whole)
}

// again makes every call again, as a client does that was cut off: one that was
// answered has the same answer, and the others are made now, or were already.
func (f *faults) again() {
	f.Helper()
	for key, s := range f.calls {
		if s.Refused {
			f.refused++
			if value[bool](f, f.database, `SELECT EXISTS (SELECT FROM idempotency WHERE key = $1)`, key) {
				f.Errorf("%+v was refused, and its key is kept", s.Call)
			}
			continue
		}
		made := value[bool](f, f.database, `SELECT EXISTS (SELECT FROM idempotency WHERE key = $1)`, key)
		if s.Answer != "" && !made {
			f.Errorf("%+v was answered %s, and nothing is known of it", s.Call, s.Answer)
		}
		answer, err := s.Call.do(f.Context(), f.store)
		if s.Answer != "" {
			f.answered++
			if err != nil || answer != s.Answer {
				f.Errorf("%+v was answered\n%s, and again\n%s, %v", s.Call, s.Answer, answer, err)
			}
		} else {
			f.cutOff++
			if made {
				f.madeUnsaid++
			}
			if err != nil {
				if made || !mayHappen(err) {
					f.Errorf("%+v (made: %t): %v", s.Call, made, err)
				}
				continue
			}
		}
		switch {
		case s.Call.Move != nil, s.Call.Take != 0:
			f.counts[0]++
		case s.Call.Hold != nil:
			f.counts[1]++
		default:
			f.counts[2]++
		}
	}
	clear(f.calls)
}

// consistent checks that each call was made once, and that what is stored adds up.
func (f *faults) consistent() {
	f.Helper()
	for i, table := range []string{"stock_moves", "holds", "fittings"} {
		if n := value[int](f, f.database, `SELECT count(*) FROM `+table); n != f.counts[i] {
			f.Errorf("%s has %d rows, want %d, one for each call", table, n, f.counts[i])
		}
	}
	const wrongQuantities = `
		WITH came AS (
			SELECT location, part_number, revision, condition, CASE kind WHEN 'received' THEN quantity ELSE -quantity END AS n FROM stock_moves
			UNION ALL SELECT to_location, part_number, revision, condition, quantity FROM stock_moves WHERE kind = 'moved'),
		sums AS (SELECT location, part_number, revision, condition, sum(n) AS n FROM came GROUP BY 1, 2, 3, 4),
		lines AS (SELECT s.location, p.part_number, coalesce(r.revision, '') AS revision, s.condition, s.quantity
			FROM stock s JOIN parts p ON p.id = s.part_id LEFT JOIN revisions r ON r.id = s.revision_id)
		SELECT count(*) FROM lines FULL JOIN sums USING (location, part_number, revision, condition)
		WHERE coalesce(lines.quantity, 0) <> coalesce(sums.n, 0)`
	if n := value[int](f, f.database, wrongQuantities); n > 0 {
		f.Errorf("%d lines have a quantity that is not the sum of their moves", n)
	}
	const heldTooMuch = `
		SELECT count(*) FROM (SELECT h.location, h.part_number, h.revision, h.condition, sum(h.quantity) AS held
			FROM holds h WHERE h.state = 'held' AND h.until > now() GROUP BY 1, 2, 3, 4) AS held
		WHERE held > coalesce((SELECT s.quantity FROM stock s JOIN parts p ON p.id = s.part_id LEFT JOIN revisions r ON r.id = s.revision_id
			WHERE (s.location, p.part_number, coalesce(r.revision, ''), s.condition) = (held.location, held.part_number, held.revision, held.condition)), 0)`
	if n := value[int](f, f.database, heldTooMuch); n > 0 {
		f.Errorf("%d lines have more on hold than there is", n)
	}
	const gaps = `SELECT (SELECT feed FROM catalogue_state) <> (SELECT count(DISTINCT version) FROM feed)
		OR (SELECT feed FROM catalogue_state) <> (SELECT max(version) FROM feed)`
	if value[bool](f, f.database, gaps) {
		f.Error("the feed has a gap")
	}
}

// follow brings the copy up to date by the feed alone.
func (f *faults) follow(whole bool) {
	f.Helper()
	rows := readAll(f, f.store, f.copy.after, 1000)
	f.rows += len(rows)
	if err := f.copy.apply(rows); err != nil {
		f.Error(err)
	}
	if !whole {
		return
	}
	for kind, want := range stored(f.T, f.database) {
		if !maps.Equal(want, f.copy.rows[kind]) {
			f.Errorf("%s (-stored +copy):\n%.2000s", kind, cmp.Diff(want, f.copy.rows[kind], equateEmpty))
		}
	}
}

// catalogue is a sum over every row of every file but the stock.
func (f *faults) catalogue() string {
	f.Helper()
	f.database.Pool().Reset()
	var all strings.Builder
	for _, file := range standin.Files {
		if file.Name != "stock" {
			fmt.Fprintln(&all, file.Name, value[string](f, f.database, fmt.Sprintf(`SELECT count(*) || ' ' || coalesce(sum(hashtextextended(b::text, 0)), 0) FROM bundle.%s b`, file.Name)))
		}
	}
	return all.String()
}
