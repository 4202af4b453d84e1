package db

import (
	"github.com/jackc/pgx/v5"

	"standin"
)

// The adaptors from which standin.UsableAdaptors then decides: those of which
// every plug taken may be, by its ways, one of a harness or one that an earlier
// adaptor gives, up to three in a row. Ways that are not recorded are stored as 0
// and match any: 0 is always among those offered, and where the plugs offered
// include it every adaptor is chosen.
const chooseAdaptorsSQL = `
WITH RECURSIVE plugs (round, ways) AS (
	SELECT 1, ARRAY(
		SELECT DISTINCT coalesce(ways, 0) FROM connectors
		WHERE layout_id = ANY (ARRAY(
			SELECT layout_id FROM builds WHERE model_id = ANY ((SELECT current_setting('standin.models'))::bigint[]))))
	UNION ALL
	SELECT round + 1, ways || ARRAY(SELECT DISTINCT unnest(gives_ways) FROM adaptors WHERE takes_ways <@ (plugs.ways || 0))
	FROM plugs WHERE round < 3
), last AS (
	SELECT ways FROM plugs WHERE round = 3
)
SELECT set_config('standin.adaptors', ARRAY(
	SELECT a.part_id FROM last, adaptors a WHERE a.takes_ways <@ (last.ways || 0) AND NOT 0 = ANY (last.ways)
	UNION ALL
	SELECT a.part_id FROM last, adaptors a WHERE 0 = ANY (last.ways))::text, true)`

const adaptorsSQL = `
SELECT (SELECT p.part_number FROM parts p WHERE p.id = a.part_id) AS part_number, coalesce(a.title, ''), a.takes_layout_id, a.gives_layout_id
FROM adaptors a
WHERE a.part_id = ANY ((SELECT current_setting('standin.adaptors'))::bigint[])
ORDER BY part_number`

func (l *load) readAdaptors(rows pgx.Rows) error {
	var a standin.Adaptor
	var takes, gives int64
	_, err := pgx.ForEachRow(rows, []any{&a.PartNumber, &a.Title, &takes, &gives}, func() error {
		a.Takes, a.Gives = l.layout(takes), l.layout(gives)
		l.adaptors = append(l.adaptors, a)
		return nil
	})
	return err
}
