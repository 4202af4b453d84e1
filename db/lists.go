package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

// A badge has the model at the end of its chain of twins; the bound on links is
// for a catalogue that was filled by other means than an import.
const listModelsSQL = `
SELECT m.id, m.brand, m.model, m.variant, coalesce(m.kind, ''), t.brand, t.model, t.variant
FROM models m
LEFT JOIN LATERAL (
	WITH RECURSIVE chain AS (
		SELECT of_model_id AS id, 1 AS links FROM twins WHERE model_id = m.id
		UNION ALL
		SELECT twins.of_model_id, links + 1 FROM chain JOIN twins ON twins.model_id = chain.id WHERE links < 100
	)
	SELECT o.brand, o.model, o.variant FROM chain JOIN models o ON o.id = chain.id ORDER BY links DESC LIMIT 1
) t ON true
WHERE (m.brand, m.model, m.variant) > ($1, $2, $3)
	AND ($4 = '' OR m.brand = $4) AND ($5 = '' OR m.kind = $5)
	AND ($6 = '' OR EXISTS (
		SELECT FROM configurations c JOIN families f ON f.id = c.family_id WHERE c.model_id = m.id AND f.family = $6))
ORDER BY m.brand, m.model, m.variant
LIMIT $7`

// ListModels returns at most limit models and badges in the order of their keys,
// those after a key.
func (db *DB) ListModels(ctx context.Context, f standin.ModelFilter, after standin.ModelKey, limit int) ([]standin.ListedModel, error) {
	return listed(ctx, db, func(row pgx.CollectableRow) (standin.ListedModel, error) {
		var m standin.ListedModel
		var brand, model, variant *string
		err := row.Scan(&m.ID, &m.Brand, &m.Model, &m.Variant, &m.Kind, &brand, &model, &variant)
		if brand != nil {
			m.TwinOf = &standin.ModelKey{Brand: *brand, Model: *model, Variant: *variant}
		}
		return m, err
	}, listModelsSQL, after.Brand, after.Model, after.Variant, f.Brand, f.Kind, f.Family, limit)
}

const modelIDSQL = `SELECT id FROM models WHERE brand = $1 AND model = $2 AND variant = $3`

// ModelID returns the id of the model with exactly that key. Where there is none it
// is an error (CodeNotFound).
func (db *DB) ModelID(ctx context.Context, key standin.ModelKey) (int64, error) {
	var id int64
	err := db.Ask(ctx, func(b *pgx.Batch) {
		b.Queue(modelIDSQL, key.Brand, key.Model, key.Variant).QueryRow(func(row pgx.Row) error { return row.Scan(&id) })
	})
	if isNoRows(err) {
		return 0, &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("no model %s is recorded", key), Field: "id"}
	}
	return id, translate(err)
}

const listBoardsSQL = `
SELECT p.part_number, coalesce(f.family, ''), coalesce(b.title, ''), coalesce(b.gtin, ''),
	(SELECT count(*) FROM revisions r WHERE r.part_id = b.part_id)
FROM boards b
JOIN parts p ON p.id = b.part_id
LEFT JOIN families f ON f.id = b.family_id
WHERE p.part_number > $1
	AND ($2 = '' OR f.family = $2) AND (NOT $3 OR b.family_id IS NULL)
	AND ($4 = '' OR position(lower($4) IN lower(p.part_number || ' ' || coalesce(b.title, ''))) > 0)
ORDER BY p.part_number
LIMIT $5`

// ListBoards returns at most limit boards in the order of their part numbers, those
// after a part number.
func (db *DB) ListBoards(ctx context.Context, f standin.BoardFilter, after string, limit int) ([]standin.ListedBoard, error) {
	return listed(ctx, db, pgx.RowToStructByPos[standin.ListedBoard], listBoardsSQL, after, f.Family, f.Fixed, f.Text, limit)
}

const listAdaptorsSQL = `
SELECT p.part_number, coalesce(a.title, ''), takes.layout, gives.layout
FROM adaptors a
JOIN parts p ON p.id = a.part_id
JOIN layouts takes ON takes.id = a.takes_layout_id
JOIN layouts gives ON gives.id = a.gives_layout_id
WHERE p.part_number > $1
	AND ($2 = '' OR takes.layout = $2) AND ($3 = '' OR gives.layout = $3)
	AND ($4 = '' OR position(lower($4) IN lower(p.part_number || ' ' || coalesce(a.title, ''))) > 0)
ORDER BY p.part_number
LIMIT $5`

// ListAdaptors returns at most limit adaptors in the order of their part numbers,
// those after a part number.
func (db *DB) ListAdaptors(ctx context.Context, f standin.AdaptorFilter, after string, limit int) ([]standin.ListedAdaptor, error) {
	return listed(ctx, db, pgx.RowToStructByPos[standin.ListedAdaptor], listAdaptorsSQL, after, f.Takes, f.Gives, f.Text, limit)
}

// listed returns the rows of a list.
func listed[T any](ctx context.Context, db *DB, scan pgx.RowToFunc[T], sql string, args ...any) ([]T, error) {
	return Rows(ctx, db, scan, sql, args...)
}
