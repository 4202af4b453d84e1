package bundle

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/internal/pg"
)

// ImportChanges returns the rows that an import changed, in the order in which they
// are kept, those after so many.
func (s *Store) ImportChanges(ctx context.Context, id int64, after, limit int) ([]standin.FileChange, error) {
	ctx, cancel := context.WithTimeout(ctx, pg.ReadTimeout)
	defer cancel()
	rows, err := s.pool.Query(ctx, `SELECT file, min(seq), max(seq) FROM (
			SELECT file, seq FROM changes WHERE import_id = $1 AND seq > $2 ORDER BY seq LIMIT $3
		) AS page GROUP BY file ORDER BY 2`, id, after, limit)
	if err != nil {
		return nil, pg.Translate(err)
	}
	type span struct {
		File        string
		First, Last int
	}
	spans, err := pgx.CollectRows(rows, pgx.RowToStructByPos[span])
	if err != nil {
		return nil, pg.Translate(err)
	}
	var all []standin.FileChange
	for _, one := range spans {
		f, _ := standin.FileNamed(one.File)
		changes, err := s.changesBetween(ctx, id, f, one.First, one.Last)
		if err != nil {
			return nil, err
		}
		all = append(all, changes...)
	}
	return all, nil
}

// changesBetween returns the changes of one file that have these numbers.
func (s *Store) changesBetween(ctx context.Context, id int64, f standin.File, first, last int) ([]standin.FileChange, error) {
	rows, err := s.pool.Query(ctx, fmt.Sprintf(`SELECT
			CASE WHEN c.before IS NULL THEN 'added' WHEN c.after IS NULL THEN 'removed' ELSE 'changed' END, %s, %s
		FROM %s
		WHERE c.import_id = $1 AND c.seq BETWEEN $2 AND $3 ORDER BY c.seq`,
		cellTexts(f.Columns, "b"), cellTexts(f.Columns, "a"), changedRows(f)), id, first, last)
	if err != nil {
		return nil, pg.Translate(err)
	}
	changes, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (standin.FileChange, error) {
		var op string
		var before, after []string
		err := row.Scan(&op, &before, &after)
		return standin.FileChange{File: f.Name, Change: changeOf(f, op, before, after)}, err
	})
	return changes, pg.Translate(err)
}
