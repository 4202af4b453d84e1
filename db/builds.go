package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// history is what is recorded of one model: its builds, position by position in
// order of time, and what is recorded for them.
type history struct {
	builds         []build
	loads          []standin.Load
	configurations []standin.Configuration
	families       []int64 // one per configuration
	presets        []preset
}

// build is a build with the ids of its factory board, of that board's revision and
// of its harness; 0 for one that is not recorded.
type build struct {
	standin.Build
	part, revision, layout int64
}

// preset is a preset with the id of its part.
type preset struct {
	standin.Preset
	part int64
}

func (o *own) history(model int64) *history {
	h := o.histories[model]
	if h == nil {
		h = &history{}
		o.histories[model] = h
	}
	return h
}

const buildsSQL = `
SELECT b.model_id, b.position, b.build, lower(b.made) - DATE '1970-01-01', upper(b.made) - 1 - DATE '1970-01-01', coalesce(b.run_out_days, 0),
	coalesce(b.serial_from, ''), coalesce(b.serial_to, ''), coalesce(b.part_id, 0), coalesce(b.revision_id, 0),
	coalesce(b.layout_id, 0), b.needs, coalesce((SELECT s.source FROM sources s WHERE s.id = b.source_id), '')
FROM builds b
WHERE b.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY b.model_id, b.position, lower(b.made) NULLS FIRST, upper(b.made) NULLS LAST, b.build`

func (o *own) readBuilds(rows pgx.Rows) error {
	var b build
	var model int64
	var from, to pgtype.Int4
	var needs []string
	_, err := pgx.ForEachRow(rows, []any{&model, &b.Position, &b.Label, &from, &to, &b.RunOutDays, &b.SerialFrom, &b.SerialTo, &b.part, &b.revision,
		&b.layout, &needs, &b.Source}, func() error {
		b.Made, b.Needs = span(from, to), maybeList(needs)
		h := o.history(model)
		h.builds = append(h.builds, b)
		return nil
	})
	return err
}

const loadsSQL = `
SELECT l.model_id, l.position, coalesce((SELECT b.build FROM builds b WHERE b.id = l.build_id), '') AS build, l.circuit, l.watts, l.volts, coalesce(l.element, ''),
	l.amps, l.power_factor, l.ohms_low, l.ohms_high, l.at_celsius
FROM loads l
WHERE l.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY l.model_id, l.position, build, l.circuit`

func (o *own) readLoads(rows pgx.Rows) error {
	var load standin.Load
	var model int64
	var watts, volts, amps, factor, low, high, celsius pgtype.Float8
	_, err := pgx.ForEachRow(rows, []any{&model, &load.Position, &load.Build, &load.Circuit, &watts, &volts, &load.Element,
		&amps, &factor, &low, &high, &celsius}, func() error {
		load.Watts, load.Volts, load.Amps, load.PowerFactor = maybeFloat(watts), maybeFloat(volts), maybeFloat(amps), maybeFloat(factor)
		load.OhmsLow, load.OhmsHigh, load.AtCelsius = maybeFloat(low), maybeFloat(high), maybeFloat(celsius)
		h := o.history(model)
		h.loads = append(h.loads, load)
		return nil
	})
	return err
}
