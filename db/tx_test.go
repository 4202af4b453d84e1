package db

import (
	"context"
	"errors"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"standin"
)

func catalogueVersion(t *testing.T, db *DB) int64 {
	t.Helper()
	state, err := db.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return state.Catalogue
}

func raise(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `UPDATE catalogue_state SET catalogue = catalogue + 1`)
	return err
}

func TestTxCommitsOrRollsBack(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	if err := db.inTx(t.Context(), pgx.TxOptions{}, func(tx pgx.Tx) error { return raise(t.Context(), tx) }); err != nil {
		t.Fatal(err)
	}
	if got := catalogueVersion(t, db); got != 1 {
		t.Errorf("version %d after a commit, want 1", got)
	}
	ctx, cancel := context.WithCancel(t.Context())
	err := db.inTx(ctx, pgx.TxOptions{}, func(tx pgx.Tx) error {
		if err := raise(ctx, tx); err != nil {
			return err
		}
		cancel() // rolled back although the caller has given up
		return ctx.Err()
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want the cause kept", err)
	}
	if got := catalogueVersion(t, db); got != 1 {
		t.Errorf("version %d after a rollback, want 1", got)
	}
	if got := db.pool.Stat().NewConnsCount(); got != 1 {
		t.Errorf("%d connections were opened, want the first kept through the rollback", got)
	}
}

func TestTxIsTriedAgainOnSerializationFailureAlone(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tests := []struct {
		name     string
		code     string
		fails    int // so many times
		attempts int
		want     standin.Code
	}{
		{"once", serializationFailure, 1, 2, ""},
		{"always", serializationFailure, txAttempts, txAttempts, standin.CodeConflict},
		{"a deadlock", deadlockDetected, 1, 1, standin.CodeConflict},
		{"a broken rule", "23514", 1, 1, standin.CodeRejected},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			attempts := 0
			err := db.inTx(t.Context(), pgx.TxOptions{}, func(pgx.Tx) error {
				attempts++
				if attempts <= tt.fails {
					return &pgconn.PgError{Code: tt.code}
				}
				return nil
			})
			if attempts != tt.attempts || standin.CodeOf(err) != tt.want {
				t.Errorf("%d attempts and %v; want %d and code %q", attempts, err, tt.attempts, tt.want)
			}
		})
	}
}
