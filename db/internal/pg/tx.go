package pg

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

const (
	// ReadTimeout is how long one question may take.
	ReadTimeout = 30 * time.Second

	// RollbackTimeout is how long the server may take to roll back.
	RollbackTimeout = 5 * time.Second
)

// Rollback ends a transaction that was not committed, even where the caller's
// context is at its end; after a commit it does nothing. The error is
// deliberately ignored: the pool closes a connection that cannot roll back, and
// the server then rolls back by itself.
func Rollback(ctx context.Context, tx pgx.Tx) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), RollbackTimeout)
	defer cancel()
	_ = tx.Rollback(ctx)
}
