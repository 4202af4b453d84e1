package bundle

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// manyRows written to a table make it worth telling the planner at once: the
// next statements join with it, and so do the questions after the import.
const manyRows = 1000

// merge brings the deltas into the tables: written in the order of the files,
// so that what a row refers to is there, then removed in the reverse order.
func (t *importTx) merge(ctx context.Context) error {
	for _, to := range targets {
		if err := t.write(ctx, to, t.countOf(to.file)); err != nil {
			return err
		}
	}
	for _, to := range slices.Backward(targets) {
		if err := t.remove(ctx, to, t.countOf(to.file)); err != nil {
			return err
		}
	}
	return nil
}

func (t *importTx) countOf(file string) fileCount {
	for _, c := range t.counts {
		if c.Name == file {
			return c
		}
	}
	return fileCount{}
}

// write stores what a file adds and changes. A row that found no place for what
// it refers to would be lost in the joins without a word, hence the count.
func (t *importTx) write(ctx context.Context, to target, c fileCount) error {
	if c.changes() == 0 {
		return nil
	}
	if err := t.execIfAny(ctx, to.prepare); err != nil {
		return err
	}
	n, err := t.execCount(ctx, to.writeSQL(c.changed > 0))
	if err != nil {
		return err
	}
	if missed := c.added + c.changed - n; missed > 0 {
		return &standin.Error{Code: standin.CodeRejected, Field: c.Name,
			Message: fmt.Sprintf("%d rows of %s refer to something that is not in the catalogue; nothing was imported", missed, c.Name)}
	}
	if err := t.execIfAny(ctx, to.then); err != nil {
		return err
	}
	if n < manyRows {
		return nil
	}
	return t.exec(ctx, "ANALYZE "+to.table)
}

func (t *importTx) remove(ctx context.Context, to target, c fileCount) error {
	if c.changes() == 0 {
		return nil
	}
	sql := to.remove
	if sql == "" {
		sql = to.removeSQL()
	}
	n, err := t.execCount(ctx, sql)
	if err != nil {
		return err
	}
	if n != c.removed {
		return &standin.Error{Code: standin.CodeConflict, Field: c.Name,
			Message: fmt.Sprintf("%d rows of %s could not be removed; nothing was changed", c.removed-n, c.Name)}
	}
	return t.execIfAny(ctx, to.tidy)
}

func (t *importTx) execIfAny(ctx context.Context, sql string) error {
	if sql == "" {
		return nil
	}
	return t.exec(ctx, sql)
}

// writeSQL returns the statement that writes what is added and, if any is, changed.
// Rows that can only be added are written without looking for one of their key, which
// is a quarter of the time.
func (to target) writeSQL(changed bool) string {
	var columns, values, keys, order, changes []string
	for i, c := range to.key {
		keys = append(keys, c.column)
		order = append(order, strconv.Itoa(i+1))
	}
	for _, c := range append(to.key[:len(to.key):len(to.key)], to.rest...) {
		columns = append(columns, c.column)
		values = append(values, c.value)
	}
	for _, c := range to.rest {
		changes = append(changes, c.column+" = excluded."+c.column)
	}
	then := "NOTHING"
	if len(changes) > 0 {
		then = "UPDATE SET " + strings.Join(changes, ", ")
	}
	// In the order of their keys, rows that are neighbours in an index come together.
	sql := fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM delta_%s d%s WHERE d.op <> 'removed' ORDER BY %s",
		to.table, strings.Join(columns, ", "), strings.Join(values, ", "), to.file, to.joins, strings.Join(order, ", "))
	if changed || to.unlisted() {
		sql += fmt.Sprintf(" ON CONFLICT (%s) DO %s", strings.Join(keys, ", "), then)
	}
	return sql
}

func (to target) removeSQL() string {
	var same []string
	for _, c := range to.key {
		same = append(same, fmt.Sprintf("t.%s IS NOT DISTINCT FROM %s", c.column, c.value))
	}
	return fmt.Sprintf("DELETE FROM %s t USING delta_%s d%s WHERE d.op = 'removed' AND %s",
		to.table, to.file, to.joins, strings.Join(same, " AND "))
}
