package api_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"standin/api"
)

// BenchmarkChanges reads 100,000 changes of stock by GET /v1/changes, in pages of
// 10,000, and in the same run has COPY … TO write out the same rows; x-copy is the
// ratio, to stay under 2.
func BenchmarkChanges(b *testing.B) {
	const rows, page = 100_000, 10_000
	database, exec := importedShop(b, "testdata/bundle")
	exec(`TRUNCATE feed`)
	exec(`INSERT INTO feed (version, seq, by, kind, key, before, after)
		SELECT n, 1, 'till', 'stock', line, line || '{"quantity": 3}', line || '{"quantity": 2}'
		FROM generate_series(1, $1::int) n,
			(VALUES ('{"location": "front", "part_number": "70-1001", "revision": "A", "condition": "new"}'::jsonb)) l (line)`, rows)
	exec(`UPDATE catalogue_state SET feed = 1000000`)
	exec(`VACUUM ANALYZE feed`)
	handler, err := api.New(shopConfig(database, false))
	if err != nil {
		b.Fatal(err)
	}
	var own, reference time.Duration
	readAll := func() (read int) {
		for after := ""; ; {
			recorded := httptest.NewRecorder()
			start := time.Now()
			handler.ServeHTTP(recorded, call{target: fmt.Sprintf("/v1/changes?limit=%d%s", page, after)}.request())
			own += time.Since(start)
			var body struct {
				Changes []json.RawMessage
				Next    string
			}
			if err := json.Unmarshal(recorded.Body.Bytes(), &body); err != nil {
				b.Fatal(err)
			}
			if len(body.Changes) == 0 {
				return read
			}
			read += len(body.Changes)
			after = "&after=" + body.Next
		}
	}
	n := 0
	for b.Loop() {
		if got := readAll(); got != rows {
			b.Fatalf("%d rows", got)
		}
		start := time.Now()
		if err := database.Pool().AcquireFunc(b.Context(), func(c *pgxpool.Conn) error {
			_, err := c.Conn().PgConn().CopyTo(b.Context(), io.Discard, `COPY (SELECT version, seq, at, by, kind, key, before, after, import_id
				FROM feed ORDER BY 1, 2) TO STDOUT`)
			return err
		}); err != nil {
			b.Fatal(err)
		}
		reference += time.Since(start)
		n++
	}
	b.ReportMetric(float64(own.Milliseconds())/float64(n), "ms/ours")
	b.ReportMetric(float64(reference.Milliseconds())/float64(n), "ms/copy")
	b.ReportMetric(float64(own)/float64(reference), "x-copy")
}
