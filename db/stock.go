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

// lineOfStock is a stock line with the id of the revision, 0 where it is not known.
// The names of part and revision are left to whoever has them.
type lineOfStock struct {
	standin.Stock
	revision int64
}

const stockOfBoardsSQL = `
SELECT s.part_id, coalesce(s.revision_id, 0), s.location, s.condition, s.quantity
FROM stock s
WHERE s.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])`

func (o *own) readStock(rows pgx.Rows) error {
	var part int64
	var s lineOfStock
	_, err := pgx.ForEachRow(rows, []any{&part, &s.revision, &s.Location, &s.Condition, &s.Quantity}, func() error {
		s.Free = s.Quantity
		o.stock[part] = append(o.stock[part], s)
		return nil
	})
	return err
}
