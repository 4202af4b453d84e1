package api_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db"
	"standin/db/dbtest"
)

// readingRange is a catalogue of 500 families with 2,000 configurations each, of
// 6 places and 16 points, each point of one place; and one more, for the code
// map.
const readingRange = `
INSERT INTO families (family, selector, code_length, readback)
SELECT 'F' || n, '{A,B,C,D,E,F,G,H,I,J,K,L}', 6, ARRAY(SELECT 'P' || p FROM generate_series(1, 16) p) FROM generate_series(1, 500) n;
INSERT INTO models (brand, model) SELECT 'Brand ' || n % 40, 'M' || n FROM generate_series(1, 2000) n;
INSERT INTO configurations (family_id, model_id, code, pattern)
SELECT f.id, m.id, code, (SELECT string_agg(substr('0011f10011f1-', 1 + (p * 7 + ascii(code[1 + p % 6]) * (f.id::int + p)) % 13, 1), '' ORDER BY p) FROM generate_series(1, 16) p)
FROM families f, models m, LATERAL (
	SELECT ARRAY(SELECT chr(65 + (hashint8(f.id * 100003 + m.id * 6 + p) & 1023) % 12) FROM generate_series(1, 6) p) AS code) c;
UPDATE catalogue_state SET catalogue = catalogue + 1;
ANALYZE`

// fullScan compares every configuration with the reading 10f1101100101101.
const fullScan = `
SELECT c.id, f.family, c.code, c.pattern
FROM configurations c JOIN families f ON f.id = c.family_id,
LATERAL (SELECT translate(c.pattern, '10f-', '1110')::bit(16) & B'1111111111111111' AS says,
	(translate(c.pattern, '10f-', '1000')::bit(16) # B'1001101100101101') | (translate(c.pattern, '10f-', '0010')::bit(16) # B'0010000000000000') AS differs) x
WHERE c.pattern_length = 16
ORDER BY bit_count(says & differs), bit_count(says) DESC
LIMIT 20`

func openRange(b *testing.B) (*db.DB, *pgx.Conn) {
	url := dbtest.New(b)
	conn, err := pgx.Connect(b.Context(), url)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close(context.Background()) })
	if _, err := conn.Exec(b.Context(), readingRange); err != nil {
		b.Fatal(err)
	}
	store, err := db.Open(b.Context(), url)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(store.Close)
	return store, conn
}

// BenchmarkReadings goes through the API with a catalogue of a million
// configurations. The ratios are of lower quartiles in the same run:
//
//	identify/scan       at most 0.1: identify among all, beside a full scan in SQL
//	codemap/read        at most 20: the code map of 2,000 × 16 × 6, beside reading its rows
//	diagnosis/tallies   at most 2: verify with diagnosis, beside a verify that tallies
//
// first is the first identify after a change of the catalogue, in seconds.
func BenchmarkReadings(b *testing.B) {
	store, conn := openRange(b)
	running := httptest.NewServer(unchecked(b, store))
	b.Cleanup(running.Close)
	post := func(call, body string) time.Duration {
		start := time.Now()
		drain(b, http.MethodPost, running.URL+"/v1/readings/"+call, body)
		return time.Since(start)
	}
	family, err := store.FamilyOf(b.Context(), "F77")
	if err != nil {
		b.Fatal(err)
	}
	tallies, slip := verifyBodies(b, family)
	anyFamily := `{"reading":"10f1101100101101"}`
	first := post("identify", anyFamily)
	post("verify", tallies)
	post("verify", slip)

	took := map[string][]time.Duration{}
	for b.Loop() {
		for turn := range 20 { // turn by turn, so that what else the machine does slows all alike
			took["identify"] = append(took["identify"], post("identify", anyFamily))
			verify := []string{"diagnosis", "tallies"}
			if turn%2 == 1 { // neither is always the one that finds the caches cold
				slices.Reverse(verify)
			}
			for _, what := range verify {
				took[what] = append(took[what], post("verify", map[string]string{"diagnosis": slip, "tallies": tallies}[what]))
			}
			took["codemap"] = append(took["codemap"], timeOf(b, func() error {
				standin.NewTable(&family.Family, family.Configurations).CodeMap()
				return nil
			}))
			took["read"] = append(took["read"], timeOf(b, func() error {
				_, err := store.FamilyOf(b.Context(), "F77")
				return err
			}))
		}
		took["scan"] = append(took["scan"], timeOf(b, func() error { return scanAll(b.Context(), conn) }))
	}
	quartile := func(what string) float64 {
		slices.Sort(took[what])
		return took[what][len(took[what])/4].Seconds()
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(first.Seconds(), "s/first")
	for _, what := range []string{"identify", "diagnosis", "codemap"} {
		b.ReportMetric(quartile(what)*1e3, "ms/"+what)
	}
	b.ReportMetric(quartile("identify")/quartile("scan"), "identify/scan")
	b.ReportMetric(quartile("codemap")/quartile("read"), "codemap/read")
	b.ReportMetric(quartile("diagnosis")/quartile("tallies"), "diagnosis/tallies")
}

// verifyBodies are a verify that tallies, and one of the same code with the
// pattern of another that differs from it at a few points.
func verifyBodies(b *testing.B, family *standin.FamilyRecord) (tallies, slip string) {
	b.Helper()
	meant := family.Configurations[0]
	ask := func(p standin.Pattern) string {
		reading := []byte(p)
		for i := range reading {
			if reading[i] == standin.ShowsEither {
				reading[i] = standin.NotRead
			}
		}
		return `{"family":"F77","code":"` + concat(meant.Code) + `","reading":"` + string(reading) + `"}`
	}
	for _, c := range family.Configurations[1:] {
		if d := c.Pattern.DistanceTo(meant.Pattern); d > 1 && d < 5 {
			return ask(meant.Pattern), ask(c.Pattern)
		}
	}
	b.Fatal("no other pattern is near")
	return "", ""
}

func concat(code []string) (word string) {
	for _, symbol := range code {
		word += symbol
	}
	return word
}

func timeOf(b *testing.B, do func() error) time.Duration {
	b.Helper()
	start := time.Now()
	if err := do(); err != nil {
		b.Fatal(err)
	}
	return time.Since(start)
}

func scanAll(ctx context.Context, conn *pgx.Conn) error {
	rows, err := conn.Query(ctx, fullScan)
	if err != nil {
		return err
	}
	_, err = pgx.CollectRows(rows, pgx.RowToMap)
	return err
}
