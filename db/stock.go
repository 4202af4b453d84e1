package db

import (
	"github.com/jackc/pgx/v5"

	"standin"
)

// The stock of the boards and of the adaptors. A hold counts until its time runs
// out; nothing has to be written for it to end.
const stockSQL = `
SELECT l.location, l.part_number, l.revision, l.condition, l.quantity,
	greatest(0, l.quantity - (SELECT coalesce(sum(h.quantity), 0) FROM holds h
		WHERE h.part_number = l.part_number AND h.location = l.location AND h.revision = l.revision
			AND h.condition = l.condition AND h.state = 'held' AND h.until > now()))
FROM (
	SELECT s.part_id, s.location,
		(SELECT p.part_number FROM parts p WHERE p.id = s.part_id) AS part_number,
		coalesce((SELECT r.revision FROM revisions r WHERE r.id = s.revision_id), '') AS revision, s.condition, s.quantity
	FROM stock s
	WHERE s.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[] || (SELECT current_setting('standin.adaptors'))::bigint[])
	OFFSET 0 -- keeps the subselects from being evaluated more than once per line
) l
ORDER BY l.part_id, l.location, l.revision, l.condition`

func (l *load) readStock(rows pgx.Rows) error { return readStock(rows, l.stock) }

func (o *own) readStock(rows pgx.Rows) error { return readStock(rows, o.stock) }

// readStock reads lines of stock by part number.
func readStock(rows pgx.Rows, by map[string][]standin.Stock) error {
	var s standin.Stock
	_, err := pgx.ForEachRow(rows, []any{&s.Location, &s.PartNumber, &s.Revision, &s.Condition, &s.Quantity, &s.Free}, func() error {
		by[s.PartNumber] = append(by[s.PartNumber], s)
		return nil
	})
	return err
}
