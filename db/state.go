package db

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// schemaVersion is the version of the schema that this package is written for:
// the last of the migrations.
const schemaVersion = 12

// A hold that runs out frees stock and nothing is written; the last one that did
// is the one place where that shows.
const ranOut = `coalesce((SELECT (extract(epoch FROM until) * 1000000)::bigint FROM holds
	WHERE state = 'held' AND until <= now() ORDER BY until DESC LIMIT 1), 0)`

// The state holds until the next hold runs out, at the latest.
const stateSQL = `SELECT catalogue, stock, ` + ranOut + `, ` + stamp + `,
	(SELECT extract(epoch FROM min(until) - now()) FROM holds WHERE state = 'held' AND until > now())::double precision
	FROM catalogue_state`

// stamp is that of both versions together.
const stamp = `catalogue_stamp::bigint << 20 | stock_stamp`

// edition tells versions of the catalogue apart, also those that have the same number
// because one of them was lost in a failover. A later version is a greater one.
type edition int64

// version is the number that people know it by.
func (e edition) version() int64 { return int64(e >> 20) }

const editionSQL = `SELECT catalogue << 20 | catalogue_stamp FROM catalogue_state`

const schemaVersionSQL = `SELECT version, dirty FROM schema_migrations`

// askState asks the database for the state, and how long it holds if nobody
// changes anything.
func (db *DB) askState(ctx context.Context) (standin.State, time.Duration, error) {
	var s standin.State
	var seconds pgtype.Float8
	err := db.Ask(ctx, func(b *pgx.Batch) {
		b.Queue(stateSQL).QueryRow(func(row pgx.Row) error { return row.Scan(&s.Catalogue, &s.Stock, &s.RanOut, &s.Stamp, &seconds) })
	})
	holds := StateHolds
	if seconds.Valid && seconds.Float64 < holds.Seconds() {
		holds = time.Duration(seconds.Float64 * float64(time.Second))
	}
	return s, holds, err
}

// askEdition asks the database for the edition of the catalogue.
func (db *DB) askEdition(ctx context.Context) (e edition, err error) {
	err = db.Ask(ctx, func(b *pgx.Batch) { e.queue(b) })
	return e, err
}

// queue adds the statement that reads the edition to a batch.
func (e *edition) queue(b *pgx.Batch) {
	b.Queue(editionSQL).QueryRow(func(row pgx.Row) error { return row.Scan(e) })
}

// Ready reports whether questions can be answered. CodeUnavailable where the
// database is away, CodeSchema where its schema is not this program's.
func (db *DB) Ready(ctx context.Context) error {
	var version int
	var dirty bool
	err := db.Ask(ctx, func(b *pgx.Batch) {
		b.Queue(schemaVersionSQL).QueryRow(func(row pgx.Row) error { return row.Scan(&version, &dirty) })
	})
	switch {
	case standin.CodeOf(err) == standin.CodeSchema || isNoRows(err):
		return schemaError("the database has no schema yet; run standin migrate up")
	case err != nil:
		return err
	case dirty:
		return schemaError("the step of the database's schema to version %d was broken off half-way; restore the database from a backup, then run standin migrate up", version)
	case version < schemaVersion:
		return schemaError("the database's schema is version %d and this program needs %d; run standin migrate up", version, schemaVersion)
	case version > schemaVersion:
		return schemaError("the database's schema is version %d, newer than the %d that this program knows; use a newer standin", version, schemaVersion)
	}
	return nil
}

func schemaError(format string, values ...any) error {
	return &standin.Error{Code: standin.CodeSchema, Message: fmt.Sprintf(format, values...)}
}
