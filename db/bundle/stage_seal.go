package bundle

import (
	"context"
	"fmt"
	"strings"

	"standin"
)

// seal ends the staging: what the bundle leaves out of a replaced family or location
// is staged too, rows that repeat a key are set aside, what changes is
// found, and the views next_<file> show the catalogue as it would be.
func (t *importTx) seal(ctx context.Context) error {
	if t.sealed {
		return nil
	}
	t.sealed = true
	if err := t.replaceFamilies(ctx); err != nil {
		return err
	}
	if err := t.setRepeatsAside(ctx); err != nil {
		return err
	}
	if err := t.holdStock(ctx); err != nil {
		return err
	}
	if err := t.replaceStock(ctx); err != nil {
		return err
	}
	for _, f := range t.stagedFiles() {
		if err := t.compare(ctx, f); err != nil {
			return err
		}
	}
	if err := t.createNext(ctx); err != nil {
		return err
	}
	t.extra = append(t.extra, warnShort)
	return t.leaveOutUnknown(ctx)
}

// holdStock locks the stock against changes until the import ends, because it is the
// one file that others change too. It can still be read.
func (t *importTx) holdStock(ctx context.Context) error {
	if !t.staged["stock"] {
		return nil
	}
	return t.exec(ctx, "LOCK TABLE stock IN SHARE ROW EXCLUSIVE MODE")
}

// stagedFiles returns the files with a stage, each after those it refers to.
func (t *importTx) stagedFiles() []standin.File {
	var files []standin.File
	for _, f := range standin.Files {
		if t.staged[f.Name] {
			files = append(files, f)
		}
	}
	return files
}

// setRepeatsAside moves every row whose key an earlier row has to the table
// repeats, so that keys are unique for all that follows.
func (t *importTx) setRepeatsAside(ctx context.Context) error {
	err := t.exec(ctx, "CREATE TEMPORARY TABLE repeats (place bigint, first bigint, key text[]) ON COMMIT DROP")
	for _, f := range t.stagedFiles() {
		if err == nil {
			err = t.exec(ctx, repeatsSQL(f))
		}
	}
	return err
}

func repeatsSQL(f standin.File) string {
	return fmt.Sprintf(`WITH repeated AS (
			SELECT %[1]s, min(place) AS place FROM %[2]s GROUP BY %[1]s HAVING count(*) > 1
		), gone AS (
			DELETE FROM %[2]s s USING repeated r WHERE %[3]s AND s.place > r.place
			RETURNING s.place, r.place AS first, %[4]s AS key
		)
		INSERT INTO repeats (place, first, key) SELECT place, first, key FROM gone`,
		columnListOf(f.Keys(), ""), stageOf(f), sameKey(f, "s", "r"), cellTexts(keyColumns(f), "s"))
}

func nextOf(f standin.File) string { return "next_" + f.Name }

// storedRows selects the stored rows of a file, each with a place.
func storedRows(f standin.File, place string) string {
	return fmt.Sprintf("SELECT %s AS place, %s FROM bundle.%s b", place, columnList(f, "b"), f.Name)
}

// createNext creates the views of the catalogue as it would be: what is added and
// changed, and what is stored under other keys, which has no place.
func (t *importTx) createNext(ctx context.Context) error {
	var sql strings.Builder
	for _, f := range standin.Files {
		fmt.Fprintf(&sql, "CREATE TEMPORARY VIEW %s AS ", nextOf(f))
		kept := ""
		if t.changes(f.Name) {
			fmt.Fprintf(&sql, "SELECT place, %s FROM %s WHERE op <> 'removed' UNION ALL ", columnList(f, ""), deltaOf(f))
			kept = fmt.Sprintf(" WHERE NOT EXISTS (SELECT FROM %s d WHERE %s)", deltaOf(f), sameKey(f, "d", "b"))
		}
		sql.WriteString(storedRows(f, "NULL::bigint") + kept + ";\n")
	}
	return t.exec(ctx, sql.String())
}

// dropNext drops the views, which would otherwise stay with the connection: only
// temporary tables can be dropped with the transaction.
func (t *importTx) dropNext(ctx context.Context) error {
	var names []string
	for _, f := range standin.Files {
		names = append(names, nextOf(f))
	}
	return t.exec(ctx, "DROP VIEW "+strings.Join(names, ", "))
}
