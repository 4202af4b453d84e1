package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
	"standin/db/internal/pg"
)

// own is what one batch has read of the models themselves: everything that they do
// not share with others, which is referred to by ids. Its size grows with the
// machines asked about and not with the catalogue.
type own struct {
	edition   edition
	state     standin.State // as of which all of it was read
	fitted    bool          // some fitting is recorded
	found     []found       // by machine
	oldParts  [][]oldPart   // by machine
	models    map[int64]ownModel
	histories map[int64]*history         // by model
	stock     map[string][]standin.Stock // of boards, and of adaptors where it was read, by part number
	reachable []int64                    // parts that supersessions lead to

	readsAdaptors bool // stock has that of the adaptors
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
		stock:     map[string][]standin.Stock{},
	}
}

// queue adds the statements that read it to a batch, also those for the stock of the
// adaptors where they are asked for.
func (o *own) queue(b *pgx.Batch, q question) {
	o.readsAdaptors = q.adaptors
	o.queueFound(b, q.machines, q.ids)
	b.Queue(chooseBoardsSQL).QueryRow(func(row pgx.Row) error { return row.Scan(nil, nil, nil, nil, &o.reachable) })
	o.queueOldParts(b, q.machines)
	if q.adaptors {
		b.Queue(chooseAdaptorsSQL)
	}
	b.Queue(modelsSQL).Query(o.readModels)
	b.Queue(buildsSQL).Query(o.readBuilds)
	b.Queue(loadsSQL).Query(o.readLoads)
	b.Queue(configurationsSQL).Query(o.readConfigurations)
	b.Queue(presetsSQL).Query(o.readPresets)
	b.Queue(stockSQL).Query(o.readStock)
}

const modelsSQL = `
SELECT m.id, m.brand, m.model, m.variant, coalesce(m.kind, ''), m.made_from - DATE '1970-01-01', m.made_to - DATE '1970-01-01',
	coalesce(m.volts, ''), m.hertz, coalesce(m.class, ''), coalesce(m.serial_rule_id, 0)
FROM models m
WHERE m.id = ANY ((SELECT current_setting('standin.badges'))::bigint[])
	OR m.id = ANY ((SELECT current_setting('standin.models'))::bigint[])`

func (o *own) readModels(rows pgx.Rows) error {
	var m ownModel
	var from, to pgtype.Int4
	var volts string
	var hertz []float64
	_, err := pgx.ForEachRow(rows, []any{&m.ID, &m.Brand, &m.Model.Model, &m.Variant, &m.Kind, &from, &to, &volts, &hertz, &m.Class, &m.rule}, func() (err error) {
		m.Made, m.Hertz = span(from, to), maybeList(hertz)
		if m.Volts, err = standin.ParseVolts(volts); err != nil {
			return pg.Unreadable("voltage of "+m.ModelKey.String(), err)
		}
		o.models[m.ID] = m
		return nil
	})
	return err
}
