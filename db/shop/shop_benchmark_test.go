package shop_test

import (
	"context"
	"io"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db"
	"standin/db/shop"
)

// BenchmarkMove makes a move and, in the same run, the bare transaction that
// changes the line and keeps the move; x-bare is the ratio, to stay under 2.
func BenchmarkMove(b *testing.B) {
	besideBare(b, func(store *shop.Store, n int) error {
		_, err := store.MoveStock(b.Context(), move("sold", front, 1), standin.Once{Token: 1, Key: keyOf(n)})
		return err
	}, func(ctx context.Context, tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `UPDATE stock SET quantity = quantity - 1 WHERE location = 'front' AND condition = 'new' AND quantity > 0
			AND part_id = (SELECT id FROM parts WHERE part_number = '70-1001')
			AND revision_id = (SELECT r.id FROM revisions r JOIN parts p ON p.id = r.part_id WHERE part_number = '70-1001' AND revision = 'A')`); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `INSERT INTO stock_moves (at, by, kind, location, part_number, revision, condition, quantity, before, after)
			VALUES (now(), 'till', 'sold', 'front', '70-1001', 'A', 'new', 1, 2, 1)`)
		return err
	})
}

// BenchmarkHold is the same of a hold: the bare transaction locks the line, counts
// what is on hold and holds a piece.
func BenchmarkHold(b *testing.B) {
	besideBare(b, func(store *shop.Store, n int) error {
		_, err := store.Hold(b.Context(), hold(front, 1), standin.Once{Token: 1, Key: keyOf(n)})
		return err
	}, func(ctx context.Context, tx pgx.Tx) error {
		var n int
		if err := tx.QueryRow(ctx, `SELECT quantity FROM stock WHERE location = 'front' AND condition = 'new'
			AND part_id = (SELECT id FROM parts WHERE part_number = '70-1001')
			AND revision_id = (SELECT r.id FROM revisions r JOIN parts p ON p.id = r.part_id WHERE part_number = '70-1001' AND revision = 'A')
			FOR UPDATE`).Scan(&n); err != nil {
			return err
		}
		if err := tx.QueryRow(ctx, `SELECT coalesce(sum(quantity), 0) FROM holds WHERE part_number = '70-1001' AND location = 'front'
			AND revision = 'A' AND condition = 'new' AND state = 'held' AND until > now()`).Scan(&n); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `INSERT INTO holds (location, part_number, revision, condition, quantity, until, by, created)
			VALUES ('front', '70-1001', 'A', 'new', 1, now() + interval '1 hour', 'till', now())`)
		return err
	})
}

func keyOf(n int) string { return "key " + time.Duration(n).String() }

// besideBare times our own beside the bare transaction, in turns, and each alone
// with holds and lines as they were.
func besideBare(b *testing.B, ours func(*shop.Store, int) error, bare func(context.Context, pgx.Tx) error) {
	store, database := open(b)
	exec(b, database, parts)
	if _, err := store.MoveStock(b.Context(), move("received", front, standin.MaxQuantity), standin.Once{}); err != nil {
		b.Fatal(err)
	}
	var own, reference time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		if err := ours(store, n); err != nil {
			b.Fatal(err)
		}
		own += time.Since(start)
		start = time.Now()
		if err := pgx.BeginFunc(b.Context(), database.Pool(), func(tx pgx.Tx) error { return bare(b.Context(), tx) }); err != nil {
			b.Fatal(err)
		}
		reference += time.Since(start)
		if n++; n%500 == 0 { // so that the sum of what is on hold does not grow
			b.StopTimer()
			settle(b, database)
			b.StartTimer()
		}
	}
	b.ReportMetric(float64(own.Microseconds())/float64(n), "µs/ours")
	b.ReportMetric(float64(reference.Microseconds())/float64(n), "µs/bare")
	b.ReportMetric(float64(own)/float64(reference), "x-bare")
}

func settle(b *testing.B, database *db.DB) {
	exec(b, database, `UPDATE holds SET state = 'released', ended = now() WHERE state = 'held'`)
	exec(b, database, `VACUUM holds`)
	exec(b, database, `VACUUM stock`)
}

// BenchmarkFeed reads 100,000 changes, half of them of imports, and in the same
// run has COPY … TO write out the same rows; x-copy is the ratio, to stay under 2.
func BenchmarkFeed(b *testing.B) {
	const rows, page = 100_000, 10_000
	store, database := open(b)
	exec(b, database, `INSERT INTO imports (by, bundle, catalogue_version, added, changed, removed) SELECT 'keeper', 'spring', n, 500, 0, 0 FROM generate_series(1, 100) n`)
	exec(b, database, `INSERT INTO changes (import_id, seq, file, key, after)
		SELECT i, s, 'models', ARRAY['Wexcombe', 'DW ' || i * 500 + s, ''], ARRAY['Wexcombe', 'DW ' || i * 500 + s, '', 'dishwasher', '230', '{50}']
		FROM generate_series(1, 100) i, generate_series(1, 500) s`)
	exec(b, database, `INSERT INTO changed_columns (import_id, file, keys, columns)
		SELECT i, 'models', '{brand,model,variant}', '{brand,model,variant,kind,volts,hertz}' FROM generate_series(1, 100) i`)
	exec(b, database, `INSERT INTO feed (version, seq, by, kind, import_id) SELECT i * 1000, 0, 'keeper', 'import', i FROM generate_series(1, 100) i`)
	exec(b, database, `INSERT INTO feed (version, seq, by, kind, key, before, after)
		SELECT i * 1000 + s, 1, 'till', 'stock', line, line || '{"quantity": 3}', line || '{"quantity": 2}'
		FROM generate_series(1, 100) i, generate_series(1, 500) s,
			(VALUES ('{"location": "front", "part_number": "70-1001", "revision": "A", "condition": "new"}'::jsonb)) l (line)`)
	exec(b, database, `UPDATE catalogue_state SET feed = 1000000`)
	exec(b, database, `VACUUM ANALYZE feed`)
	exec(b, database, `VACUUM ANALYZE changes`)
	var own, reference time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		if got := len(readAll(b, store, standin.FeedPosition{}, page)); got != rows {
			b.Fatalf("%d rows", got)
		}
		own += time.Since(start)
		start = time.Now()
		if err := database.Pool().AcquireFunc(b.Context(), func(c *pgxpool.Conn) error {
			tag, err := c.Conn().PgConn().CopyTo(b.Context(), io.Discard, `COPY (SELECT f.version, coalesce(c.seq, f.seq), f.at, f.by,
				coalesce(c.file, f.kind), coalesce(c.key::text, f.key::text), coalesce(c.before::text, f.before::text), coalesce(c.after::text, f.after::text), f.import_id
				FROM feed f LEFT JOIN changes c USING (import_id) ORDER BY 1, 2) TO STDOUT`)
			if err == nil && tag.RowsAffected() != rows {
				b.Fatalf("COPY wrote %d rows", tag.RowsAffected())
			}
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
