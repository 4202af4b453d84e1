package migrations

import (
	"context"
	"errors"
	"fmt"

	"github.com/golang-migrate/migrate/v4/database"
	migratepgx "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/jackc/pgx/v5"
)

// StatusOf reports where the database stands. It changes nothing, and waits for a
// migration that goes on only where that is amid a step.
func StatusOf(ctx context.Context, url string) (status Status, err error) {
	newest, err := latest(FS)
	if err != nil {
		return Status{}, err
	}
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return Status{}, fmt.Errorf("the database cannot be reached: %w", err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	if status, err = read(ctx, conn); err == nil && status.Dirty {
		// Amid a step, or broken off in one? Whoever migrates has the lock.
		if err := awaitMigration(ctx, conn); err != nil {
			return Status{}, err
		}
		status, err = read(ctx, conn)
	}
	status.Latest = newest
	return status, err
}

func read(ctx context.Context, conn *pgx.Conn) (Status, error) {
	var version int64
	var dirty bool
	err := conn.QueryRow(ctx, `SELECT version, dirty FROM schema_migrations LIMIT 1`).Scan(&version, &dirty)
	if errors.Is(err, pgx.ErrNoRows) || stateOf(err) == undefinedTable {
		return Status{}, nil
	}
	if err != nil {
		return Status{}, fmt.Errorf("the version of the database's schema cannot be read: %w", err)
	}
	return Status{Version: uint(max(0, version)), Dirty: dirty}, nil
}

// awaitMigration waits until nobody migrates the database, by the library's lock.
func awaitMigration(ctx context.Context, conn *pgx.Conn) error {
	tx, err := conn.Begin(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }() // it changes nothing
	id, err := lockOf(ctx, tx)
	if err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `SELECT set_config('lock_timeout', $1, true) WHERE current_setting('lock_timeout') = '0'`, lockTime.String()); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1::bigint)`, id); stateOf(err) == lockNotAvailable {
		return errMigrating
	} else if err != nil {
		return err
	}
	return nil
}

// lockOf is the number of the lock by which the library keeps migrations apart.
func lockOf(ctx context.Context, tx pgx.Tx) (string, error) {
	var name, schema string
	if err := tx.QueryRow(ctx, `SELECT current_database(), current_schema()`).Scan(&name, &schema); err != nil {
		return "", err
	}
	return database.GenerateAdvisoryLockId(name, schema, migratepgx.DefaultMigrationsTable)
}
