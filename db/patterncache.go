package db

import (
	"context"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
)

// indexTimeout is for reading every pattern of the catalogue.
const indexTimeout = 2 * time.Minute

// mostOfSetting is how many configurations of a setting are kept; the others are
// counted.
const mostOfSetting = 50

// sortInMemorySQL lets the one statement that sorts everything do so with few
// files.
const sortInMemorySQL = `SELECT set_config('work_mem', '64MB', true)`

// patternIndex is every setting of the catalogue at one version: some 60 MB for
// a million configurations whose patterns all differ, less the more are equal.
type patternIndex struct {
	edition edition
	index   *standin.PatternIndex // its rows are settings, by number
	ids     []int64               // of the first configurations of each setting, setting by setting
	from    []int32               // index in ids where those of a setting begin, and the end of the last
	counts  []int32               // configurations of a setting in all
}

// patternCache keeps one index and makes another when the catalogue has changed.
// One at a time is made; who needs it meanwhile waits. It is made to its end even
// where nobody waits any more: a question has less time than an index of a large
// catalogue takes.
type patternCache struct {
	turn chan struct{} // holds one token, which guards last
	last *patternIndex // nil: none yet
	made atomic.Int64  // how many were
}

func newPatternCache() *patternCache {
	c := &patternCache{turn: make(chan struct{}, 1)}
	c.turn <- struct{}{}
	return c
}

// patternsAtLeast returns the index of an edition, or of one with a later number.
func (db *DB) patternsAtLeast(ctx context.Context, e edition) (*patternIndex, error) {
	select {
	case <-db.patterns.turn:
	case <-ctx.Done():
		return nil, translate(ctx.Err())
	}
	if last := db.patterns.last; last != nil && (last.edition == e || last.edition.version() > e.version()) {
		db.patterns.turn <- struct{}{}
		return last, nil
	}
	type outcome struct {
		index *patternIndex
		err   error
	}
	ended := make(chan outcome, 1)
	go func() {
		made, err := db.readPatterns(context.WithoutCancel(ctx))
		if err == nil {
			db.patterns.made.Add(1)
			db.patterns.last = made
		}
		db.patterns.turn <- struct{}{}
		ended <- outcome{made, err}
	}()
	select {
	case made := <-ended:
		return made.index, made.err
	case <-ctx.Done():
		return nil, translate(ctx.Err())
	}
}

// Ordered by family, so that the settings of only one family are in memory at a
// time.
const allPatternsSQL = `
SELECT family_id, id, array_to_string(code, ' '), pattern
FROM configurations
WHERE pattern IS NOT NULL
ORDER BY family_id, id`

func (db *DB) readPatterns(ctx context.Context) (*patternIndex, error) {
	var x *patternIndex
	err := db.askWithin(ctx, indexTimeout, func(b *pgx.Batch) {
		x = &patternIndex{index: standin.NewPatternIndex(), from: []int32{0}}
		x.edition.queue(b)
		b.Queue(sortInMemorySQL)
		b.Queue(allPatternsSQL).Query(x.read)
	})
	return x, err
}

func (x *patternIndex) read(rows pgx.Rows) error {
	var family, id int64
	var code string
	var pattern standin.Pattern
	f := &familySettings{}
	_, err := pgx.ForEachRow(rows, []any{&family, &id, &code, &pattern}, func() error {
		if family != f.family {
			x.add(f)
			*f = familySettings{family: family, at: map[[2]string]int{}}
		}
		f.add(code, pattern, id)
		return nil
	})
	x.add(f)
	return err
}

// familySettings are the settings of one family while they are read.
type familySettings struct {
	family   int64
	at       map[[2]string]int // by code and pattern, place in settings
	settings []idsOfSetting
}

type idsOfSetting struct {
	pattern standin.Pattern
	ids     []int64
	count   int32
}

func (f *familySettings) add(code string, pattern standin.Pattern, id int64) {
	key := [2]string{code, string(pattern)}
	at, seen := f.at[key]
	if !seen {
		at = len(f.settings)
		f.at[key] = at
		f.settings = append(f.settings, idsOfSetting{pattern: pattern})
	}
	s := &f.settings[at]
	if s.count++; len(s.ids) < mostOfSetting {
		s.ids = append(s.ids, id)
	}
}

// add adds the settings of a family to the index.
func (x *patternIndex) add(f *familySettings) {
	for _, s := range f.settings {
		x.index.Add(s.pattern, int64(len(x.counts)))
		x.ids = append(x.ids, s.ids...)
		x.from = append(x.from, int32(len(x.ids)))
		x.counts = append(x.counts, s.count)
	}
}

// configurationsOf returns the first fifty configurations of a setting.
func (x *patternIndex) configurationsOf(setting int64) []int64 {
	return x.ids[x.from[setting]:x.from[setting+1]]
}
