package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// own is what one batch has read of the models themselves: everything that other
// models do not share, the rest by its ids. It grows with the machines asked for
// and not with the catalogue.
type own struct {
	version   int64         // of the catalogue
	state     standin.State // that all of it was read in
	fitted    bool          // some fitting is recorded
	found     []found       // a machine
	oldParts  [][]oldPart   // a machine
	models    map[int64]ownModel
	histories map[int64]*history        // by model
	stock     map[int64][]standin.Stock // by part
	reachable []int64                   // parts, over supersessions
}

// ownModel is a model with the id of its serial rule, 0 for none.
type ownModel struct {
	standin.Model
	rule int64
}

func newOwn() *own {
	return &own{
		models:    map[int64]ownModel{},
		histories: map[int64]*history{},
		stock:     map[int64][]standin.Stock{},
	}
}

// queue adds the statements that read it.
func (o *own) queue(b *pgx.Batch, machines []standin.Machine, ids []int64) {
	o.queueFound(b, machines, ids)
	b.Queue(chooseBoardsSQL).QueryRow(func(row pgx.Row) error { return row.Scan(nil, nil, nil, &o.reachable) })
	o.queueOldParts(b, machines)
	b.Queue(modelsSQL).Query(o.readModels)
	b.Queue(buildsSQL).Query(o.readBuilds)
	b.Queue(loadsSQL).Query(o.readLoads)
	b.Queue(configurationsSQL).Query(o.readConfigurations)
	b.Queue(presetsSQL).Query(o.readPresets)
	b.Queue(stockSQL).Query(o.readStock)
}

const modelsSQL = `
SELECT m.id, m.brand, m.model, m.variant, coalesce(m.kind, ''), m.made_from - DATE '1970-01-01', m.made_to - DATE '1970-01-01',
	m.volts, m.hertz, coalesce(m.serial_rule_id, 0)
FROM models m
WHERE m.id = ANY ((SELECT current_setting('standin.badges'))::bigint[])
	OR m.id = ANY ((SELECT current_setting('standin.models'))::bigint[])`

func (o *own) readModels(rows pgx.Rows) error {
	var m ownModel
	var from, to pgtype.Int4
	var volts, hertz pgtype.Float8
	_, err := pgx.ForEachRow(rows, []any{&m.ID, &m.Brand, &m.Model.Model, &m.Variant, &m.Kind, &from, &to, &volts, &hertz, &m.rule}, func() error {
		m.Made, m.Volts, m.Hertz = span(from, to), maybeFloat(volts), maybeFloat(hertz)
		o.models[m.ID] = m
		return nil
	})
	return err
}
