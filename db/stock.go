package db

import (
	"github.com/jackc/pgx/v5"

	"standin"
)

// The stock of the boards and of the adaptors.
const stockSQL = `
SELECT s.location, (SELECT p.part_number FROM parts p WHERE p.id = s.part_id),
	coalesce((SELECT r.revision FROM revisions r WHERE r.id = s.revision_id), '') AS revision, s.condition, s.quantity
FROM stock s
WHERE s.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[] || (SELECT current_setting('standin.adaptors'))::bigint[])
ORDER BY s.part_id, s.location, revision, s.condition`

func (l *load) readStock(rows pgx.Rows) error {
	var s standin.Stock
	_, err := pgx.ForEachRow(rows, stockColumns(&s), func() error {
		s.Free = s.Quantity
		l.stock[s.PartNumber] = append(l.stock[s.PartNumber], s)
		return nil
	})
	return err
}

// stockColumns are where the columns of a stock line are read to.
func stockColumns(s *standin.Stock) []any {
	return []any{&s.Location, &s.PartNumber, &s.Revision, &s.Condition, &s.Quantity}
}
