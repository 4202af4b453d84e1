package shop

import (
	"context"
	"slices"
	"standin/db/internal/pg"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

const (
	feedSQL = `SELECT version, seq, at, by, kind, key, before, after, coalesce(import_id, 0) FROM feed
		WHERE (version, seq) > ($1, $2) ORDER BY version, seq LIMIT $3`
	// An import is the only row of its version in the feed.
	importInFeedSQL = `SELECT version, 0, at, by, kind, key, before, after, import_id FROM feed WHERE version = $1 AND import_id IS NOT NULL`
	importRowsSQL   = `SELECT seq, file, key, before, after FROM changes WHERE import_id = $1 AND seq > $2 ORDER BY seq LIMIT $3`
	columnsSQL      = `SELECT file, keys, columns FROM changed_columns WHERE import_id = $1`
	feedVersionSQL  = `SELECT feed FROM catalogue_state`
)

// fallback is the interval of polling, because notifications do not pass every
// pooler.
const fallback = 2 * time.Second

// ReadFeed returns at most limit changes after a position, in the order in which they
// were committed. An import is read row by row from the changes kept for undoing it.
// A position that the feed has not reached is an error (CodeBadRequest).
func (s *Store) ReadFeed(ctx context.Context, after standin.FeedPosition, limit int) (rows []standin.FeedRow, err error) {
	ctx, cancel := within(ctx)
	defer cancel()
	if err := s.checkPosition(ctx, after); err != nil {
		return nil, err
	}
	rows = make([]standin.FeedRow, 0, min(limit, 1024))
	if after.Seq > 0 { // perhaps in the middle of an import
		begun, err := s.feedRows(ctx, nil, importInFeedSQL, after.Version)
		if err != nil {
			return nil, err
		}
		for _, row := range begun {
			if rows, err = s.importRows(ctx, rows, row, after.Seq, limit); err != nil {
				return nil, err
			}
		}
	}
	for len(rows) < limit {
		begin := len(rows)
		if rows, err = s.feedRows(ctx, rows, feedSQL, after.Version, after.Seq, limit-begin); err != nil {
			return nil, err
		}
		if len(rows) == begin {
			break
		}
		after = rows[len(rows)-1].FeedPosition
		if rows, err = s.withImports(ctx, rows, begin, limit); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// withImports puts the rows of imports in the places of those that stand for them,
// from begin on, until there are as many as the limit.
func (s *Store) withImports(ctx context.Context, rows []standin.FeedRow, begin, limit int) (_ []standin.FeedRow, err error) {
	first := slices.IndexFunc(rows[begin:], func(r standin.FeedRow) bool { return r.Import != 0 })
	if first < 0 {
		return rows, nil
	}
	found := slices.Clone(rows[begin+first:])
	rows = rows[:begin+first]
	for _, row := range found {
		if row.Import == 0 {
			rows = append(rows, row)
		} else if rows, err = s.importRows(ctx, rows, row, 0, limit); err != nil {
			return nil, err
		}
		if len(rows) >= limit {
			break
		}
	}
	return rows, nil
}

// checkPosition returns an error for a position that the feed has not reached.
func (s *Store) checkPosition(ctx context.Context, after standin.FeedPosition) error {
	latest, err := s.feedVersion(ctx)
	if err != nil {
		return err
	}
	if after.Version > latest || after.Version < 0 || after.Seq < 0 {
		return refuse(standin.CodeBadRequest, "after", "after is not of this catalogue, or of one that was restored to an earlier state; leave it out and begin a new copy")
	}
	return nil
}

func (s *Store) feedVersion(ctx context.Context) (version int64, err error) {
	err = s.pool.QueryRow(ctx, feedVersionSQL).Scan(&version)
	return version, pg.Translate(err)
}

// feedRows appends the rows of the feed itself.
func (s *Store) feedRows(ctx context.Context, rows []standin.FeedRow, sql string, args ...any) ([]standin.FeedRow, error) {
	found, err := s.pool.Query(ctx, sql, args...)
	if err != nil {
		return nil, pg.Translate(err)
	}
	var r standin.FeedRow
	_, err = pgx.ForEachRow(found, []any{&r.Version, &r.Seq, &r.At, &r.By, &r.Kind, (*[]byte)(&r.Key), (*[]byte)(&r.Before), (*[]byte)(&r.After), &r.Import}, func() error {
		r.At = r.At.UTC()
		rows = append(rows, r)
		r = standin.FeedRow{}
		return nil
	})
	return rows, pg.Translate(err)
}

// importRows appends the rows of an import that come after one of them, until rows
// has reached the limit.
func (s *Store) importRows(ctx context.Context, rows []standin.FeedRow, begun standin.FeedRow, after, limit int) ([]standin.FeedRow, error) {
	columns, err := s.columnsOf(ctx, begun.Import)
	if err != nil {
		return nil, err
	}
	found, err := s.pool.Query(ctx, importRowsSQL, begun.Import, after, limit-len(rows))
	if err != nil {
		return nil, pg.Translate(err)
	}
	r := begun
	var key, was, is []pgtype.Text
	_, err = pgx.ForEachRow(found, []any{&r.Seq, &r.Kind, &key, &was, &is}, func() error {
		of := columns[r.Kind]
		r.Key, r.Before, r.After = of.keys.asJSON(key), of.all.asJSON(was), of.all.asJSON(is)
		rows = append(rows, r)
		r = begun
		return nil
	})
	return rows, pg.Translate(err)
}

// columnsOf returns the columns of the files of an import, by file.
func (s *Store) columnsOf(ctx context.Context, id int64) (map[string]changedColumns, error) {
	found, err := s.pool.Query(ctx, columnsSQL, id)
	if err != nil {
		return nil, pg.Translate(err)
	}
	columns, arrays := map[string]changedColumns{}, pgtype.NewMap()
	var file string
	var keys, all []string
	_, err = pgx.ForEachRow(found, []any{&file, &keys, &all}, func() error {
		f, _ := standin.FileNamed(file)
		columns[file] = changedColumns{keys: cellsOf(f, keys, arrays), all: cellsOf(f, all, arrays)}
		return nil
	})
	return columns, pg.Translate(err)
}

// AwaitFeed returns when something has changed after a position, or after waiting for
// as long as wait says, at most standin.MaxWait.
func (s *Store) AwaitFeed(ctx context.Context, after standin.FeedPosition, wait time.Duration) error {
	waiting, cancel := context.WithTimeout(ctx, min(wait, standin.MaxWait))
	defer cancel()
	next, leave := s.ear.join()
	defer leave()
	for {
		changed := next()
		rows, err := s.ReadFeed(waiting, after, 1)
		switch {
		case waiting.Err() != nil:
			return nil
		case err != nil, len(rows) > 0:
			return err
		}
		pause := time.NewTimer(fallback)
		select {
		case <-waiting.Done():
		case <-changed:
		case <-pause.C:
		}
		pause.Stop()
	}
}
