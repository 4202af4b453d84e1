package api_test

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"standin"
	"standin/db"
	"standin/importer/generate"
)

// The benchmarks of this file are of generated catalogues, of models drawn at
// random that nobody has asked for before, and of whole answers as a client has
// them. The large catalogue is a database with what standin generate makes, whose
// address STANDIN_BENCH_CATALOGUE says; otherwise one of 20,000 models is made.

const (
	fewModels  = 1_000
	manyModels = 20_000
)

// loaded is a service over a generated catalogue.
type loaded struct {
	url      string
	database *db.DB
	machines []map[string]string // in random order
	next     int
	answer   *atomic.Pointer[[]byte] // what is at sameBytes
}

// sameBytes is an address of the same server where nothing is worked out.
const sameBytes = "/same-bytes"

func openLoaded(b *testing.B, database *db.DB) *loaded {
	b.Helper()
	service := unchecked(b, database)
	var answer atomic.Pointer[[]byte]
	running := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == sameBytes {
			w.Header().Set("Content-Type", "application/json")
			_, _ = w.Write(*answer.Load())
			return
		}
		service.ServeHTTP(w, r)
	}))
	b.Cleanup(running.Close)
	l := &loaded{url: running.URL, database: database, answer: &answer}
	var most int64
	if err := database.Pool().QueryRow(b.Context(), `SELECT max(id) FROM models`).Scan(&most); err != nil {
		b.Fatal(err)
	}
	drawn := rand.New(rand.NewPCG(1, 2))
	ids := make([]int64, 50_000)
	for i := range ids {
		ids[i] = 1 + drawn.Int64N(most)
	}
	rows, err := database.Pool().Query(b.Context(), `SELECT m.brand, m.model, m.variant
		FROM unnest($1::bigint[]) WITH ORDINALITY AS d (id, n) JOIN models m ON m.id = d.id ORDER BY n`, ids)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var key standin.ModelKey
		if err := rows.Scan(&key.Brand, &key.Model, &key.Variant); err != nil {
			b.Fatal(err)
		}
		l.machines = append(l.machines, map[string]string{"brand": key.Brand, "model": key.Model, "variant": key.Variant, "location": "front"})
	}
	return l
}

// openMany is the large catalogue.
func openMany(b *testing.B) *loaded {
	b.Helper()
	url := os.Getenv("STANDIN_BENCH_CATALOGUE")
	if url == "" {
		return openGenerated(b, manyModels)
	}
	database, err := db.Open(b.Context(), url)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(database.Close)
	return openLoaded(b, database)
}

func openGenerated(b *testing.B, models int) *loaded {
	b.Helper()
	bundle := filepath.Join(b.TempDir(), "bundle")
	if err := (generate.Catalogue{Models: models, Configurations: 2 * models, Seed: 1}).Write(bundle); err != nil {
		b.Fatal(err)
	}
	return openLoaded(b, imported(b, bundle))
}

// drain sends a request and reads the answer to its end.
func drain(b *testing.B, method, target, body string) {
	b.Helper()
	request, err := http.NewRequestWithContext(b.Context(), method, target, strings.NewReader(body))
	if err != nil {
		b.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = answer.Body.Close() }()
	if n, err := io.Copy(io.Discard, answer.Body); err != nil || answer.StatusCode != http.StatusOK {
		b.Fatalf("status %d, %d bytes, %v", answer.StatusCode, n, err)
	}
}

// machine is one that was not asked for yet, at this location.
func (l *loaded) machine() map[string]string {
	l.next++
	machine := maps.Clone(l.machines[(l.next-1)%len(l.machines)])
	machine["location"] = fmt.Sprintf("counter %d", l.next)
	return machine
}

func (l *loaded) address(machine map[string]string) string {
	query := url.Values{}
	for name, value := range machine {
		query.Set(name, value)
	}
	return l.url + "/v1/fits?" + query.Encode()
}

func (l *loaded) ask(b *testing.B) time.Duration {
	b.Helper()
	began := time.Now()
	drain(b, http.MethodGet, l.address(l.machine()), "")
	return time.Since(began)
}

func (l *loaded) batch(b *testing.B, n int) string {
	b.Helper()
	machines := make([]map[string]string, n)
	for i := range machines {
		machines[i] = l.machine()
	}
	body, err := json.Marshal(map[string]any{"machines": machines})
	if err != nil {
		b.Fatal(err)
	}
	return string(body)
}

func share(times []time.Duration, share float64) float64 {
	slices.Sort(times)
	return times[min(len(times)-1, int(share*float64(len(times))))].Seconds() * 1e3
}

// BenchmarkLookUp asks for one machine after the other, in a small catalogue and in
// a large one by turns; x-small is the ratio of the medians, to stay under 1.3.
func BenchmarkLookUp(b *testing.B) {
	few, many := openGenerated(b, fewModels), openMany(b)
	for n := range 1_500 { // connections and what models share; each question is new
		if n%5 == 0 {
			few.ask(b)
		}
		many.ask(b)
	}
	var small, large []time.Duration
	for b.Loop() {
		small, large = append(small, few.ask(b)), append(large, many.ask(b))
	}
	b.ReportMetric(share(small, 0.5), "ms/small")
	b.ReportMetric(share(large, 0.5), "ms/large")
	b.ReportMetric(share(large, 0.99), "ms/large-p99")
	b.ReportMetric(share(large, 0.5)/share(small, 0.5), "x-small")
}

// BenchmarkLookUps has eight clients ask for random machines and, by turns, pgbench
// run one statement that builds the same dossier as JSON on as many connections;
// x-pgbench is the ratio of what they get done in a second, to stay above 1.
func BenchmarkLookUps(b *testing.B) {
	pgbench, err := pgbenchPath()
	if err != nil {
		b.Skip(err)
	}
	many := openMany(b)
	many.perSecond(b, 8, 10*time.Second) // connections and what models share; each question is new
	var asked, bare float64
	for b.Loop() {
		asked += many.perSecond(b, 8, 5*time.Second)
		bare += many.pgbench(b, pgbench, 8, 5)
	}
	b.ReportMetric(asked/float64(b.N), "answers/s")
	b.ReportMetric(bare/float64(b.N), "pgbench/s")
	b.ReportMetric(asked/bare, "x-pgbench")
}

// perSecond is how many answers so many clients get in a second, each to another
// question.
func (l *loaded) perSecond(b *testing.B, clients int, during time.Duration) float64 {
	b.Helper()
	var next atomic.Int64
	next.Store(int64(l.next))
	defer func() { l.next = int(next.Load()) }()
	return perSecond(clients, during, func() {
		drain(b, http.MethodGet, l.address(l.machines[int(next.Add(1))%len(l.machines)]), "")
	})
}

// perSecond is how often so many clients get something done in a second.
func perSecond(clients int, during time.Duration, do func()) float64 {
	var done atomic.Int64
	began := time.Now()
	var working sync.WaitGroup
	for range clients {
		working.Go(func() {
			for time.Since(began) < during {
				do()
				done.Add(1)
			}
		})
	}
	working.Wait()
	return float64(done.Load()) / time.Since(began).Seconds()
}

// BenchmarkSameQuestion has eight clients ask one question again and again and, by
// turns, get the same bytes from the same server without a question; x-same-bytes is
// the ratio of what they get in a second, to stay above 0.6.
func BenchmarkSameQuestion(b *testing.B) {
	many := openMany(b)
	question := many.address(many.machine())
	asked, err := http.Get(question)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = asked.Body.Close() }()
	answer, err := io.ReadAll(asked.Body)
	if err != nil {
		b.Fatal(err)
	}
	many.answer.Store(&answer)
	var again, bare float64
	for b.Loop() {
		again += perSecond(8, 500*time.Millisecond, func() { discard(b, http.MethodGet, question, "") })
		bare += perSecond(8, 500*time.Millisecond, func() { discard(b, http.MethodGet, many.url+sameBytes, "") })
	}
	b.ReportMetric(again/float64(b.N), "answers/s")
	b.ReportMetric(bare/float64(b.N), "same-bytes/s")
	b.ReportMetric(again/bare, "x-same-bytes")
}

var ofPgbench = regexp.MustCompile(`tps = ([0-9.]+)`)

// pgbench is how many of the statements in testdata/dossier.sql it runs in a second:
// with as many adaptors as a dossier has on average, and as the program asks, without
// compiling statements.
func (l *loaded) pgbench(b *testing.B, path string, clients, seconds int) float64 {
	b.Helper()
	var models int64
	if err := l.database.Pool().QueryRow(b.Context(), `SELECT max(id) FROM models`).Scan(&models); err != nil {
		b.Fatal(err)
	}
	command := exec.CommandContext(b.Context(), path, "-n", "-M", "prepared", "-c", strconv.Itoa(clients), "-j", "2", "-T", strconv.Itoa(seconds),
		"-D", fmt.Sprintf("models=%d", models), "-D", fmt.Sprintf("adaptors=%d", l.adaptors(b)),
		"-f", "testdata/dossier.sql", l.database.Pool().Config().ConnString())
	command.Env = append(os.Environ(), "PGOPTIONS=-c jit=off")
	out, err := command.CombinedOutput()
	tps := ofPgbench.FindSubmatch(out)
	if err != nil || tps == nil {
		b.Fatalf("%v: %s", err, out)
	}
	n, err := strconv.ParseFloat(string(tps[1]), 64)
	if err != nil {
		b.Fatal(err)
	}
	return n
}

// adaptors is how many a dossier has on average.
func (l *loaded) adaptors(b *testing.B) int {
	b.Helper()
	const sample = 50
	n := 0
	for _, m := range l.machines[:sample] {
		machine := standin.Machine{ModelKey: standin.ModelKey{Brand: m["brand"], Model: m["model"], Variant: m["variant"]}}
		dossiers, err := l.database.Dossiers(b.Context(), []standin.Machine{machine})
		if err != nil {
			b.Fatal(err)
		}
		n += len(dossiers[0].Adaptors)
	}
	return n / sample
}

// pgbenchPath finds the program among what is installed with the server.
func pgbenchPath() (string, error) {
	if path, err := exec.LookPath("pgbench"); err == nil {
		return path, nil
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/pgbench")
	if err != nil || len(found) == 0 {
		return "", fmt.Errorf("pgbench is not installed: %w", os.ErrNotExist)
	}
	return found[len(found)-1], nil
}

// BenchmarkThousandMachines asks for 1,000 machines at once and, in the same run,
// for another 1,000 each alone; x-singles is the ratio, to stay under 0.2.
func BenchmarkThousandMachines(b *testing.B) {
	many := openMany(b)
	var single, batch time.Duration
	for b.Loop() {
		for range 1000 {
			single += many.ask(b)
		}
		body := many.batch(b, 1000)
		began := time.Now()
		drain(b, http.MethodPost, many.url+"/v1/fits", body)
		batch += time.Since(began)
	}
	b.ReportMetric(float64(single.Milliseconds())/float64(b.N), "ms/1000-GET")
	b.ReportMetric(float64(batch.Milliseconds())/float64(b.N), "ms/POST")
	b.ReportMetric(float64(batch)/float64(single), "x-singles")
}

// BenchmarkBesideBatches asks for one machine after the other, alone and while four
// batches are answered; x-alone is the ratio of the 99th percentiles, to stay under 3.
func BenchmarkBesideBatches(b *testing.B) {
	many := openMany(b)
	var alone, beside []time.Duration
	for b.Loop() {
		for range 500 {
			alone = append(alone, many.ask(b))
		}
		bodies := make([]string, 4)
		for i := range bodies {
			bodies[i] = many.batch(b, 1000)
		}
		var working sync.WaitGroup
		var ended atomic.Bool
		for _, body := range bodies {
			working.Go(func() {
				for !ended.Load() {
					drain(b, http.MethodPost, many.url+"/v1/fits", body)
				}
			})
		}
		for range 500 {
			beside = append(beside, many.ask(b))
		}
		ended.Store(true)
		working.Wait()
	}
	b.ReportMetric(share(alone, 0.99), "ms/alone-p99")
	b.ReportMetric(share(beside, 0.99), "ms/beside-p99")
	b.ReportMetric(share(beside, 0.99)/share(alone, 0.99), "x-alone")
}

// BenchmarkMemoryOfBatches has forty clients ask for 1,000 machines each, at once and
// until all are answered, and reports how much more memory the program takes than
// idle, to stay under 300 MB. What the clients read is not kept.
func BenchmarkMemoryOfBatches(b *testing.B) {
	many := openMany(b)
	bodies := make([]string, 40)
	for i := range bodies {
		bodies[i] = many.batch(b, 1000)
	}
	var most uint64
	for b.Loop() {
		debug.FreeOSMemory()
		idle := memory()
		var working sync.WaitGroup
		var left atomic.Int64
		for _, body := range bodies {
			left.Add(1)
			working.Go(func() {
				defer left.Add(-1)
				for discard(b, http.MethodPost, many.url+"/v1/fits", body) != http.StatusOK {
				}
			})
		}
		for ; left.Load() > 0; time.Sleep(10 * time.Millisecond) {
			if now := memory(); now > idle {
				most = max(most, now-idle)
			}
		}
		working.Wait()
	}
	b.ReportMetric(float64(most)/(1<<20), "MB-over-idle")
}

// memory is how many bytes the program has from the system.
func memory() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.Sys - m.HeapReleased
}

// discard sends a request whose answer is not to be compressed, reads it to its end
// and returns its status.
func discard(b *testing.B, method, target, body string) int {
	request, err := http.NewRequestWithContext(b.Context(), method, target, strings.NewReader(body))
	if err != nil {
		b.Error(err)
		return http.StatusOK
	}
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("Accept-Encoding", "identity")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		b.Error(err)
		return http.StatusOK
	}
	defer func() { _ = answer.Body.Close() }()
	if _, err := io.Copy(io.Discard, answer.Body); err != nil {
		b.Error(err)
	}
	return answer.StatusCode
}
