package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
)

// indexTimeout is for reading every pattern of the catalogue.
const indexTimeout = 2 * time.Minute

// patternIndex is every setting of the catalogue at one version: some 60 MB for
// a million with all patterns different, less the more are alike.
type patternIndex struct {
	version int64
	index   *standin.PatternIndex // its rows are settings, by number
	ids     []int64               // of configurations, the first of a setting after each other
	from    []int32               // where those of a setting begin; one more than there are settings
	counts  []int32               // configurations of a setting in all
}

// patternCache keeps one index and makes another when the catalogue has changed.
// One at a time is made; who needs it meanwhile waits.
type patternCache struct {
	turn chan struct{} // holds one token, taken by whoever looks at last
	last *patternIndex // nil: none yet
}

func newPatternCache() *patternCache {
	c := &patternCache{turn: make(chan struct{}, 1)}
	c.turn <- struct{}{}
	return c
}

// patternsAtLeast is the index of a version, or of a newer one.
func (db *DB) patternsAtLeast(ctx context.Context, version int64) (*patternIndex, error) {
	select {
	case <-db.patterns.turn:
	case <-ctx.Done():
		return nil, translate(ctx.Err())
	}
	defer func() { db.patterns.turn <- struct{}{} }()
	if last := db.patterns.last; last != nil && last.version >= version {
		return last, nil
	}
	made, err := db.readPatterns(ctx)
	if err == nil {
		db.patterns.last = made
	}
	return made, err
}

const allSettingsSQL = `
SELECT (array_agg(id ORDER BY id))[1:50], count(*)::integer, pattern
FROM configurations
WHERE pattern IS NOT NULL
GROUP BY family_id, code, pattern
ORDER BY min(id)`

func (db *DB) readPatterns(ctx context.Context) (*patternIndex, error) {
	ctx, cancel := context.WithTimeout(ctx, indexTimeout)
	defer cancel()
	x := &patternIndex{index: standin.NewPatternIndex(), from: []int32{0}}
	b := &pgx.Batch{}
	b.Queue(beginDossiersSQL)
	b.Queue(dossierStateSQL).QueryRow(func(row pgx.Row) error { return row.Scan(&x.version) })
	b.Queue(allSettingsSQL).Query(x.read)
	b.Queue(commitDossiersSQL)
	if err := db.pool.SendBatch(ctx, b).Close(); err != nil {
		return nil, translate(err)
	}
	return x, nil
}

func (x *patternIndex) read(rows pgx.Rows) error {
	var ids []int64
	var count int32
	var pattern standin.Pattern
	_, err := pgx.ForEachRow(rows, []any{&ids, &count, &pattern}, func() error {
		x.index.Add(pattern, int64(len(x.counts)))
		x.ids = append(x.ids, ids...)
		x.from = append(x.from, int32(len(x.ids)))
		x.counts = append(x.counts, count)
		return nil
	})
	return err
}

// of are the first fifty configurations of a setting.
func (x *patternIndex) of(setting int64) []int64 { return x.ids[x.from[setting]:x.from[setting+1]] }
