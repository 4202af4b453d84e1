package db

import (
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

const modelsSQL = `
SELECT m.id, m.brand, m.model, m.variant, coalesce(m.kind, ''), m.made_from - DATE '1970-01-01', m.made_to - DATE '1970-01-01',
	m.volts, m.hertz, coalesce(r.rule, ''), coalesce(r.pattern, ''), r.year_base
FROM models m
LEFT JOIN serial_rules r ON r.id = m.serial_rule_id
WHERE m.id = ANY ((SELECT current_setting('standin.badges'))::bigint[])
	OR m.id = ANY ((SELECT current_setting('standin.models'))::bigint[])`

func (l *load) readModels(rows pgx.Rows) error {
	rules := map[string]*standin.SerialRule{}
	var m standin.Model
	var from, to, base pgtype.Int4
	var volts, hertz pgtype.Float8
	var rule, pattern string
	_, err := pgx.ForEachRow(rows, []any{&m.ID, &m.Brand, &m.Model, &m.Variant, &m.Kind, &from, &to, &volts, &hertz, &rule, &pattern, &base}, func() (err error) {
		m.Made, m.Volts, m.Hertz = span(from, to), standin.Maybe[[]standin.VoltRange]{}, standin.Maybe[[]float64]{}
		if volts.Valid {
			m.Volts = standin.Known([]standin.VoltRange{{Low: volts.Float64, High: volts.Float64}})
		}
		if hertz.Valid {
			m.Hertz = standin.Known([]float64{hertz.Float64})
		}
		m.SerialRule, err = compiled(rules, rule, pattern, base)
		model := m
		l.models[m.ID] = &model
		return err
	})
	return err
}

// compiled is the serial rule of that name, compiled once a call; nil for none.
func compiled(rules map[string]*standin.SerialRule, name, pattern string, base pgtype.Int4) (*standin.SerialRule, error) {
	if name == "" || rules[name] != nil {
		return rules[name], nil
	}
	rule, err := standin.NewSerialRule(name, pattern, maybeInt(base))
	if err != nil {
		return nil, &standin.Error{
			Code:    standin.CodeSchema,
			Message: fmt.Sprintf("the serial rule %s in the database is not one that this program can read", name),
			Cause:   err,
		}
	}
	rules[name] = rule
	return rule, nil
}
