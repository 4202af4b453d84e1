package db

import (
	"context"
	"fmt"

	"standin"
)

// schemaVersion is the version of the schema that this package is written for:
// the last of the migrations.
const schemaVersion = 4

const stateSQL = `SELECT catalogue, stock FROM catalogue_state`

// The dossier carries the catalogue's version alone.
const dossierStateSQL = `SELECT catalogue FROM catalogue_state`

const schemaVersionSQL = `SELECT version, dirty FROM schema_migrations`

// State is the version of the catalogue and of the stock.
func (db *DB) State(ctx context.Context) (standin.State, error) {
	ctx, cancel := context.WithTimeout(ctx, readTimeout)
	defer cancel()
	var s standin.State
	err := db.pool.QueryRow(ctx, stateSQL).Scan(&s.Catalogue, &s.Stock)
	return s, translate(err)
}

// Ready reports whether questions can be answered. CodeUnavailable where the
// database is away, CodeSchema where its schema is not this program's.
func (db *DB) Ready(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, readTimeout)
	defer cancel()
	var version int
	var dirty bool
	err := translate(db.pool.QueryRow(ctx, schemaVersionSQL).Scan(&version, &dirty))
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
