package db

import (
	"context"
	"testing"

	"github.com/jackc/pgx/v5"
)

const (
	addDisplay = `INSERT INTO builds (model_id, position, build, made_from, made) VALUES (2, 'display', 'd1', '2001-01-01', '[2001-01-01,)')`
	addBeside  = `INSERT INTO builds (model_id, position, build, made_from, made) VALUES (2, 'display', 'd2', '2002-01-01', '[2002-01-01,)')`
	addAway    = `INSERT INTO builds (model_id, position, build, made_from, made_to, made) VALUES (2, 'display', 'd2', '1999-01-01', '1999-12-31', '[1999-01-01,2000-01-01)')`
)

// Neither of two transactions sees the other's span; the one that commits last is
// refused all the same.
func TestSpansOfTwoTransactions(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, second string
		refused      bool
	}{
		{"overlapping", addBeside, true},
		{"apart", addAway, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			db := openSmall(t)
			first, second := begin(t, db, pgx.ReadCommitted), begin(t, db, pgx.ReadCommitted)
			mustExec(t, first, addDisplay)
			mustExec(t, second, c.second)
			if err := first.Commit(t.Context()); err != nil {
				t.Fatal(err)
			}
			err := second.Commit(t.Context())
			if got := brokenBy(err) == "builds_of_a_model_do_not_overlap"; got != c.refused || !c.refused && err != nil {
				t.Errorf("the second commit: %v", err)
			}
		})
	}
}

// What is noted to be checked is gone when it was, and when nothing comes of it.
func TestSpansAreNotedForATransaction(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	tx := begin(t, db, pgx.ReadCommitted)
	mustExec(t, tx, addDisplay)
	var noted int
	const count = `SELECT count(*) FROM spans_to_check`
	if err := tx.QueryRow(t.Context(), count).Scan(&noted); err != nil || noted != 1 {
		t.Errorf("%d rows are noted within the transaction, %v; want 1", noted, err)
	}
	if err := tx.Commit(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := db.pool.QueryRow(t.Context(), count).Scan(&noted); err != nil || noted != 0 {
		t.Errorf("%d rows are noted after it, %v; want none", noted, err)
	}
}

// A transaction that keeps to one snapshot could not see what others commit.
func TestSpansNeedReadCommitted(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	tx := begin(t, db, pgx.RepeatableRead)
	mustExec(t, tx, addDisplay)
	if err := tx.Commit(t.Context()); brokenBy(err) != "0A000" {
		t.Errorf("the commit: %v, want SQLSTATE 0A000", err)
	}
}

func begin(t *testing.T, db *DB, level pgx.TxIsoLevel) pgx.Tx {
	t.Helper()
	tx, err := db.pool.BeginTx(t.Context(), pgx.TxOptions{IsoLevel: level})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = tx.Rollback(context.Background()) }) // nothing is left open where the test has failed
	return tx
}

func mustExec(t *testing.T, tx pgx.Tx, sql string) {
	t.Helper()
	if _, err := tx.Exec(t.Context(), sql); err != nil {
		t.Fatal(err)
	}
}
