package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
	"standin/db/internal/pg"
)

const rulesSQL = `
SELECT r.id, r.rule, r.pattern, r.year_base
FROM serial_rules r
WHERE r.id = ANY (ARRAY(SELECT serial_rule_id FROM models WHERE id = ANY ((SELECT current_setting('standin.models'))::bigint[])))`

func (l *load) readRules(rows pgx.Rows) error {
	var id int64
	var name, pattern string
	var base pgtype.Int4
	_, err := pgx.ForEachRow(rows, []any{&id, &name, &pattern, &base}, func() (err error) {
		l.rules[id], err = compiled(name, pattern, base)
		return err
	})
	return err
}

// compiled returns a serial rule as it was stored, compiled.
func compiled(name, pattern string, base pgtype.Int4) (*standin.SerialRule, error) {
	rule, err := standin.NewSerialRule(name, pattern, maybeInt(base))
	if err != nil {
		return nil, pg.Unreadable("serial rule "+name, err)
	}
	return rule, nil
}
