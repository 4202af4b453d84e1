package bundle

import (
	"context"
	"fmt"

	"standin"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"
)

const importColumns = `id, at, by, bundle, catalogue_version, added, changed, removed,
	coalesce(undoes, 0), coalesce(undone_by, 0)`

const (
	importSQL      = `SELECT ` + importColumns + ` FROM imports WHERE id = $1`
	listImportsSQL = `SELECT ` + importColumns + ` FROM imports WHERE $1 = 0 OR id < $1 ORDER BY id DESC LIMIT $2`
)

// querier runs a query: the pool or a transaction.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
}

// ImportOf returns one import that was committed. One that does not exist is an error
// (CodeNotFound).
func (s *Store) ImportOf(ctx context.Context, id int64) (standin.Import, error) {
	ctx, cancel := context.WithTimeout(ctx, pg.ReadTimeout)
	defer cancel()
	return importOf(ctx, s.pool, id)
}

func importOf(ctx context.Context, from querier, id int64) (standin.Import, error) {
	rows, err := from.Query(ctx, importSQL, id)
	if err != nil {
		return standin.Import{}, pg.Translate(err)
	}
	i, err := pgx.CollectExactlyOneRow(rows, scanImport)
	if pg.IsNoRows(err) {
		return i, &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("there is no import %d", id)}
	}
	return i, pg.Translate(err)
}

// ListImports returns at most limit imports, newest first, those before an id (0:
// all).
func (s *Store) ListImports(ctx context.Context, before int64, limit int) ([]standin.Import, error) {
	ctx, cancel := context.WithTimeout(ctx, pg.ReadTimeout)
	defer cancel()
	rows, err := s.pool.Query(ctx, listImportsSQL, before, limit)
	if err != nil {
		return nil, pg.Translate(err)
	}
	imports, err := pgx.CollectRows(rows, scanImport)
	return imports, pg.Translate(err)
}

func scanImport(row pgx.CollectableRow) (i standin.Import, err error) {
	err = row.Scan(importFields(&i)...)
	i.At = i.At.UTC()
	return i, err
}

// importFields returns the destinations for importColumns.
func importFields(i *standin.Import) []any {
	return []any{&i.ID, &i.At, &i.By, &i.Bundle, &i.CatalogueVersion, &i.Added, &i.Changed, &i.Removed, &i.Undoes, &i.UndoneBy}
}
