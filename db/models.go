package db

import (
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

const modelsSQL = `
SELECT m.id, m.brand, m.model, m.variant, coalesce(m.kind, ''), m.made_from - DATE '1970-01-01', m.made_to - DATE '1970-01-01',
	coalesce(m.volts, ''), m.hertz, coalesce(m.class, ''), coalesce(r.rule, ''), coalesce(r.pattern, ''), r.year_base
FROM models m
LEFT JOIN serial_rules r ON r.id = m.serial_rule_id
WHERE m.id = ANY ((SELECT current_setting('standin.badges'))::bigint[])
	OR m.id = ANY ((SELECT current_setting('standin.models'))::bigint[])`

func (l *load) readModels(rows pgx.Rows) error {
	rules := map[string]*standin.SerialRule{}
	var m standin.Model
	var from, to, base pgtype.Int4
	var hertz []float64
	var volts, rule, pattern string
	_, err := pgx.ForEachRow(rows, []any{&m.ID, &m.Brand, &m.Model, &m.Variant, &m.Kind, &from, &to, &volts, &hertz, &m.Class, &rule, &pattern, &base}, func() (err error) {
		m.Made, m.Hertz = span(from, to), maybeList(hertz)
		if m.Volts, err = standin.ParseVolts(volts); err != nil {
			return unreadable("voltage of "+m.ModelKey.String(), err)
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
		return nil, unreadable("serial rule "+name, err)
	}
	rules[name] = rule
	return rule, nil
}

// unreadable says that something is stored in a form this program does not know.
func unreadable(what string, cause error) error {
	return &standin.Error{
		Code:    standin.CodeSchema,
		Message: fmt.Sprintf("the %s in the database is not one that this program can read", what),
		Cause:   cause,
	}
}
