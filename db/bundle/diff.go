package bundle

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"standin"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"
)

// What a bundle changes of a file is in the temporary table delta_<file>: op is
// added, changed or removed; place where the row stands in the bundle; the columns
// of the file hold the row as it would be (for a removed row, as it was); old the
// stored row; absent the columns that are as they are stored because the bundle does
// not have them. All later steps work on the deltas, so a row that changes nothing
// costs one comparison.

func deltaOf(f standin.File) string { return "delta_" + f.Name }

// fileCount counts the rows of a file by what the bundle does to them.
type fileCount struct {
	standin.File
	added, changed, removed, unchanged, leftOut int
}

func (c fileCount) changes() int { return c.added + c.changed + c.removed }

// compare makes the delta of a staged file.
func (t *importTx) compare(ctx context.Context, f standin.File) error {
	if err := t.exec(ctx, deltaSQL(f, t.absent[f.Name])); err != nil {
		return err
	}
	c := fileCount{File: f}
	err := t.queryRow(ctx, fmt.Sprintf(`SELECT count(*) FILTER (WHERE op = 'added'), count(*) FILTER (WHERE op = 'changed'),
		count(*) FILTER (WHERE op = 'removed'), (SELECT count(*) FROM %s WHERE NOT removed) FROM %s`,
		stageOf(f), deltaOf(f))).Scan(&c.added, &c.changed, &c.removed, &c.unchanged)
	c.unchanged -= c.added + c.changed
	t.counts = append(t.counts, c)
	t.removes = t.removes || c.removed > 0
	return pg.Translate(err)
}

// deltaSQL makes the delta. Absent are the columns that some staged row does not have.
func deltaSQL(f standin.File, absent int64) string {
	becomes := filledIn(f, absent)
	var named []string
	for i, c := range f.Columns {
		named = append(named, becomes[i]+" AS "+quoted(c.Name))
	}
	return fmt.Sprintf(`ANALYZE %[4]s;
		CREATE TEMPORARY TABLE %[1]s ON COMMIT DROP AS
		SELECT CASE WHEN s.removed THEN 'removed' WHEN b.%[2]s IS NULL THEN 'added' ELSE 'changed' END AS op,
			s.place, s.absent, %[3]s, b AS old
		FROM %[4]s s LEFT JOIN bundle.%[5]s b ON %[6]s
		WHERE CASE WHEN s.removed THEN b.%[2]s IS NOT NULL ELSE (%[7]s) IS DISTINCT FROM (%[8]s) END;
		ANALYZE %[1]s`,
		deltaOf(f), quoted(f.Columns[0].Name), strings.Join(named, ", "), stageOf(f), f.Name, sameKey(f, "s", "b"),
		strings.Join(becomes, ", "), columnList(f, "b"))
}

// changes reports whether any of the files changes.
func (t *importTx) changes(files ...string) bool {
	return slices.ContainsFunc(t.counts, func(c fileCount) bool {
		return c.changes() > 0 && slices.Contains(files, c.Name)
	})
}

// Diff compares what is staged with what is stored, with at most limit changes of
// each file in detail.
func (t *importTx) Diff(ctx context.Context, limit int) ([]standin.FileDiff, error) {
	if err := t.seal(ctx); err != nil {
		return nil, err
	}
	diffs := []standin.FileDiff{}
	for _, c := range t.counts {
		changes, err := t.changesOf(ctx, c.File, limit)
		if err != nil {
			return nil, err
		}
		diffs = append(diffs, standin.FileDiff{File: c.Name, Added: c.added, Changed: c.changed, Removed: c.removed,
			Unchanged: c.unchanged, LeftOut: c.leftOut, Changes: changes})
	}
	return diffs, nil
}

// changesOf returns the first changes of a file in detail: those that lift a supply
// stop, then changed rows, then removed ones, then added ones, each in the order of
// their keys.
func (t *importTx) changesOf(ctx context.Context, f standin.File, limit int) ([]standin.Change, error) {
	lifts := "false"
	if f.Name == "revisions" {
		lifts = liftsStop
	}
	rows, err := t.query(ctx, fmt.Sprintf(`SELECT op, %s, %s, %s FROM %s d
		ORDER BY NOT %[3]s, array_position('{changed,removed,added}', op), %[5]s LIMIT $1`,
		cellTexts(f.Columns, "(d.old)"), cellTexts(f.Columns, "d"), lifts, deltaOf(f), columnListOf(f.Keys(), "d")), limit)
	if err != nil {
		return nil, pg.Translate(err)
	}
	changes, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (standin.Change, error) {
		var op string
		var before, after []string
		var lifts bool
		err := row.Scan(&op, &before, &after, &lifts)
		c := changeOf(f, op, before, after)
		c.LiftsStop = lifts
		return c, err
	})
	return changes, pg.Translate(err)
}

// changeOf returns one change, from the row as it was and as it would be.
func changeOf(f standin.File, op string, before, after []string) standin.Change {
	c := standin.Change{Op: op}
	if op == "removed" {
		after = make([]string, len(before))
	}
	for i, column := range f.Columns {
		switch {
		case column.Key:
			c.Key = append(c.Key, standin.Field{Column: column.Name, Value: cmp.Or(after[i], before[i])})
		case before[i] != after[i]:
			c.Fields = append(c.Fields, standin.FieldChange{Column: column.Name, Before: before[i], After: after[i]})
		}
	}
	return c
}
