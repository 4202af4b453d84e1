package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// lead is a supersession seen from a part that it leads away from; a two-way one
// leads away from either end.
type lead struct {
	to int64
	standin.Supersession
}

const linksSQL = `
SELECT s.old_part_id, s.new_part_id, (SELECT p.part_number FROM parts p WHERE p.id = s.old_part_id) AS old_part,
	(SELECT p.part_number FROM parts p WHERE p.id = s.new_part_id) AS new_part, coalesce(s.interchange, '') = 'two-way',
	s."from" - DATE '1970-01-01', coalesce(s.note, '')
FROM supersessions s
WHERE s.old_part_id = ANY ((SELECT current_setting('standin.reachable'))::bigint[])
	OR s.new_part_id = ANY ((SELECT current_setting('standin.reachable'))::bigint[]) AND s.interchange = 'two-way'
ORDER BY old_part, new_part`

func (l *load) readLinks(rows pgx.Rows) error {
	return eachLink(rows, func(older, newer int64, s standin.Supersession) {
		l.links[older] = append(l.links[older], lead{newer, s})
		if s.TwoWay {
			l.links[newer] = append(l.links[newer], lead{older, s})
		}
	})
}

// eachLink reads the rows of linksSQL.
func eachLink(rows pgx.Rows, use func(older, newer int64, s standin.Supersession)) error {
	var s standin.Supersession
	var older, newer int64
	var from pgtype.Int4
	_, err := pgx.ForEachRow(rows, []any{&older, &newer, &s.Old, &s.New, &s.TwoWay, &from, &s.Note}, func() error {
		s.From = maybeDate(from)
		use(older, newer, s)
		return nil
	})
	return err
}
