package db

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

const (
	txAttempts      = 5
	txPause         = 20 * time.Millisecond // before the second attempt; doubled for each after
	rollbackTimeout = 5 * time.Second
)

// inTx does something in one transaction, committed where it returns nil and
// rolled back otherwise. Where the transaction could not be serialized with
// another it is tried again: do may run more than once, so whatever it leaves
// outside the database must be set, not added to. The error is translated.
func (db *DB) inTx(ctx context.Context, options pgx.TxOptions, do func(pgx.Tx) error) error {
	pause := txPause
	for attempt := 1; ; attempt++ {
		err := db.tryTx(ctx, options, do)
		if attempt == txAttempts || !isSerializationFailure(err) {
			return translate(err)
		}
		select {
		case <-ctx.Done():
			return translate(ctx.Err())
		case <-time.After(pause):
			pause *= 2
		}
	}
}

func (db *DB) tryTx(ctx context.Context, options pgx.TxOptions, do func(pgx.Tx) error) error {
	tx, err := db.pool.BeginTx(ctx, options)
	if err != nil {
		return err
	}
	defer rollback(ctx, tx)
	if err := do(tx); err != nil {
		return err
	}
	return tx.Commit(ctx)
}

// rollback ends a transaction that was not committed, even where the caller has
// given up; after a commit it does nothing. Its error is nobody's business: a
// connection that cannot roll back is closed by the pool, and the server then
// rolls back by itself.
func rollback(ctx context.Context, tx pgx.Tx) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), rollbackTimeout)
	defer cancel()
	_ = tx.Rollback(ctx)
}

func isSerializationFailure(err error) bool {
	pgErr, ok := errors.AsType[*pgconn.PgError](err)
	return ok && pgErr.Code == serializationFailure
}
