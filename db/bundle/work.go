package bundle

import (
	"context"

	"github.com/jackc/pgx/v5"

	"standin/db/internal/pg"
)

// work is a transaction for statements about whole files.
type work struct {
	tx   pgx.Tx
	with string // a WITH clause that every query begins with; may be empty
}

// setUp prepares the transaction: memory for hash tables, which join by texts in a third
// of the time that sorting takes, dates in the form of a bundle, and no JIT compilation
// of the many expressions of a wide comparison. Where
// its operating system supports that, the server regularly checks whether the
// client is still connected: otherwise a statement of a killed import would run to
// its end and keep others from importing.
func (w *work) setUp(ctx context.Context) error {
	return w.exec(ctx, `SET LOCAL work_mem = '128MB'; SET LOCAL enable_mergejoin = off; SET LOCAL jit = off; SET LOCAL DateStyle = 'ISO'; SET LOCAL extra_float_digits = 1;
		DO $$ BEGIN
			PERFORM set_config('client_connection_check_interval', '500ms', true);
		EXCEPTION WHEN OTHERS THEN -- not on every system
		END $$`)
}

// exec and the methods below do not keep statements prepared: the temporary tables
// they refer to are dropped with the transaction.
func (w *work) exec(ctx context.Context, sql string, args ...any) error {
	_, err := w.execCount(ctx, sql, args...)
	return err
}

// execCount also returns how many rows were written.
func (w *work) execCount(ctx context.Context, sql string, args ...any) (int, error) {
	tag, err := w.tx.Exec(ctx, sql, unprepared(args)...)
	return int(tag.RowsAffected()), pg.Translate(err)
}

func (w *work) query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	return w.tx.Query(ctx, w.with+sql, unprepared(args)...)
}

func (w *work) queryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	return w.tx.QueryRow(ctx, w.with+sql, unprepared(args)...)
}

func unprepared(args []any) []any {
	if len(args) == 0 {
		return nil // no arguments: the simple protocol, several statements at once
	}
	return append([]any{pgx.QueryExecModeExec}, args...)
}
