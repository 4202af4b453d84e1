package db

import (
	"github.com/jackc/pgx/v5"

	"standin"
)

const stockSQL = `
SELECT s.part_id, s.location, (SELECT p.part_number FROM parts p WHERE p.id = s.part_id),
	coalesce((SELECT r.revision FROM revisions r WHERE r.id = s.revision_id), '') AS revision, s.condition, s.quantity
FROM stock s
WHERE s.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])
ORDER BY s.part_id, s.location, revision, s.condition`

func (l *load) readStock(rows pgx.Rows) error {
	var part int64
	var s standin.Stock
	_, err := pgx.ForEachRow(rows, append([]any{&part}, stockColumns(&s)...), func() error {
		s.Free = s.Quantity
		l.stock[part] = append(l.stock[part], s)
		return nil
	})
	return err
}

// stockColumns are where the columns of a stock line are read to.
func stockColumns(s *standin.Stock) []any {
	return []any{&s.Location, &s.PartNumber, &s.Revision, &s.Condition, &s.Quantity}
}
