package db

import (
	"context"
	"errors"

	"standin"

	"github.com/jackc/pgx/v5"
)

// importLock is the advisory lock that one import at a time holds. Any number
// that nothing else in the database uses would do.
const importLock = 0x62756e646c65 // "bundle"

// importTx is an import under way: one transaction, and what was staged in it.
// The bundle is staged, then sealed and with that compared, then checked, then committed.
type importTx struct {
	tx      pgx.Tx
	request standin.ImportRequest
	undoes  int64 // the import that this one undoes; 0: none
	audits  bool  // no import at all: what is stored is looked at, see Audit

	files   []bundleFile    // in the order they were staged; a place counts in it
	staged  map[string]bool // by File.Name, those that have a stage
	sealed  bool
	counts  []fileCount // of the staged files, in the order of standin.Files
	removes bool        // some stored row is to go
	clean   bool        // checked, and nothing was found
	ended   func()      // is called when the transaction is committed, or may be
}

// OpenImport begins the one transaction of an import.
func (db *DB) OpenImport(ctx context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	t, err := db.openImport(ctx, request)
	if err != nil {
		return nil, err // not t: a nil *importTx in an interface is not nil
	}
	return t, nil
}

func (db *DB) openImport(ctx context.Context, request standin.ImportRequest) (*importTx, error) {
	tx, err := db.pool.Begin(ctx)
	if err != nil {
		return nil, translate(err)
	}
	t := &importTx{tx: tx, request: request, staged: map[string]bool{}, ended: db.known.forget}
	if err := t.begin(ctx); err != nil {
		_ = t.Rollback() // the first error says what was wrong
		return nil, err
	}
	return t, nil
}

// begin sets the transaction up and takes the lock.
func (t *importTx) begin(ctx context.Context) error {
	if err := t.setUp(ctx); err != nil {
		return err
	}
	var free bool
	if err := t.queryRow(ctx, "SELECT pg_try_advisory_xact_lock($1)", int64(importLock)).Scan(&free); err != nil {
		return translate(err)
	}
	if !free {
		return conflict("another import is under way; try again when it has ended")
	}
	return nil
}

// setUp sets the transaction up for set-wise work: room for hash tables, dates
// as a bundle writes them, and no compiling of the many expressions of a wide
// comparison. A server that can looks now and then whether we are still there:
// else the statement of an import that was killed would go on to its end, and
// keep others from importing.
func (t *importTx) setUp(ctx context.Context) error {
	return t.exec(ctx, `SET LOCAL work_mem = '128MB'; SET LOCAL jit = off; SET LOCAL DateStyle = 'ISO'; SET LOCAL extra_float_digits = 1;
		DO $$ BEGIN
			PERFORM set_config('client_connection_check_interval', '500ms', true);
		EXCEPTION WHEN OTHERS THEN -- not on every system
		END $$`)
}

// Rollback leaves everything as it was. After Commit it does nothing.
func (t *importTx) Rollback() error {
	// The context of the import may be the very reason for the rollback.
	ctx, cancel := context.WithTimeout(context.Background(), rollbackTimeout)
	defer cancel()
	if err := t.tx.Rollback(ctx); err != nil && !errors.Is(err, pgx.ErrTxClosed) {
		return translate(err)
	}
	return nil
}

// exec and its siblings do not keep statements prepared: the temporary tables
// they speak of are gone with the transaction.
func (t *importTx) exec(ctx context.Context, sql string, args ...any) error {
	_, err := t.execCount(ctx, sql, args...)
	return err
}

// execCount also tells how many rows were written.
func (t *importTx) execCount(ctx context.Context, sql string, args ...any) (int, error) {
	tag, err := t.tx.Exec(ctx, sql, unprepared(args)...)
	return int(tag.RowsAffected()), translate(err)
}

func (t *importTx) query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	return t.tx.Query(ctx, sql, unprepared(args)...)
}

func (t *importTx) queryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	return t.tx.QueryRow(ctx, sql, unprepared(args)...)
}

func unprepared(args []any) []any {
	if len(args) == 0 {
		return nil // no arguments: the simple protocol, several statements at once
	}
	return append([]any{pgx.QueryExecModeExec}, args...)
}

// Families are those stored now, by name.
func (t *importTx) Families(ctx context.Context) (map[string]standin.Family, error) {
	rows, err := t.query(ctx, `SELECT family, coalesce(title, ''), selector, code_length, readback,
		coalesce(procedure, ''), coalesce(note, '') FROM bundle.families`)
	if err != nil {
		return nil, translate(err)
	}
	all, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (f standin.Family, err error) {
		err = row.Scan(&f.Name, &f.Title, &f.Selector, &f.CodeLength, &f.Readback, &f.Procedure, &f.Note)
		return f, err
	})
	families := make(map[string]standin.Family, len(all))
	for _, f := range all {
		families[f.Name] = f
	}
	return families, translate(err)
}
