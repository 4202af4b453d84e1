package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

// The one adaptor, kept for the statements of a dossier (see dossier.go). Exactly
// that number, else the only one that is the same without case, spaces and
// punctuation.
const chooseAdaptorSQL = `
SELECT set_config('standin.adaptors', array_remove(ARRAY[coalesce(
		(SELECT p.id FROM parts p WHERE p.part_number = $1 AND p.kind = 'adaptor'),
		(SELECT CASE WHEN count(*) = 1 THEN min(p.id) END FROM parts p WHERE plain(p.part_number) = plain($1) AND p.kind = 'adaptor'))], NULL)::text, true),
	set_config('standin.boards', '{}', true),
	set_config('standin.models', '{}', true),
	set_config('standin.old_layouts', '{}', true)`

// AdaptorOf returns all that is recorded of one adaptor. Where there is none it is an
// error (CodeNotFound).
func (db *DB) AdaptorOf(ctx context.Context, partNumber string) (*standin.AdaptorRecord, error) {
	var l *load
	err := db.Ask(ctx, func(b *pgx.Batch) {
		l = newLoad(nil)
		b.Queue(chooseAdaptorSQL, partNumber)
		b.Queue(adaptorsSQL).Query(l.readAdaptors)
		b.Queue(connectorsSQL).Query(l.readConnectors)
		b.Queue(stockSQL).Query(l.readStock)
	})
	if err != nil {
		return nil, err
	}
	if len(l.adaptors) == 0 {
		return nil, &standin.Error{Code: standin.CodeNotFound, Field: "part_number",
			Message: fmt.Sprintf("there is no adaptor with the part number %s", partNumber)}
	}
	a := l.adaptors[0]
	return &standin.AdaptorRecord{Adaptor: a, Stock: l.stock[a.PartNumber]}, nil
}
