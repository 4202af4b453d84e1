package db

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Pool is the connections, for the packages below this one.
func (db *DB) Pool() *pgxpool.Pool { return db.pool }

// InTx does something in one transaction, see inTx.
func (db *DB) InTx(ctx context.Context, options pgx.TxOptions, do func(pgx.Tx) error) error {
	return db.inTx(ctx, options, do)
}

// Translate makes an *standin.Error of an error of the driver.
func Translate(err error) error { return translate(err) }
