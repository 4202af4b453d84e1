package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// history is what is recorded of one model: its builds, position by position in
// order of time, and what hangs on them.
type history struct {
	builds         []standin.Build
	factory        []int64 // parts of the builds, where recorded
	loads          []standin.Load
	configurations []standin.Configuration
	families       []int64 // of the configurations, a configuration
	presets        []standin.Preset
	presetParts    []int64 // of the presets, a preset
}

func (l *load) history(model int64) *history {
	h := l.histories[model]
	if h == nil {
		h = &history{}
		l.histories[model] = h
	}
	return h
}

const buildsSQL = `
SELECT b.model_id, b.position, b.build, lower(b.made) - DATE '1970-01-01', upper(b.made) - 1 - DATE '1970-01-01', coalesce(b.run_out_days, 0),
	coalesce(b.serial_from, ''), coalesce(b.serial_to, ''), coalesce(b.part_id, 0),
	coalesce((SELECT p.part_number FROM parts p WHERE p.id = b.part_id), ''),
	coalesce((SELECT r.revision FROM revisions r WHERE r.id = b.revision_id), ''),
	coalesce(b.layout_id, 0), b.needs, coalesce((SELECT s.source FROM sources s WHERE s.id = b.source_id), '')
FROM builds b
WHERE b.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY b.model_id, b.position, lower(b.made) NULLS FIRST, upper(b.made) NULLS LAST, b.build`

func (l *load) readBuilds(rows pgx.Rows) error {
	var b standin.Build
	var model, part, layout int64
	var from, to pgtype.Int4
	var needs []string
	_, err := pgx.ForEachRow(rows, []any{&model, &b.Position, &b.Label, &from, &to, &b.RunOutDays, &b.SerialFrom, &b.SerialTo, &part, &b.PartNumber,
		&b.Revision, &layout, &needs, &b.Source}, func() error {
		b.Made, b.Needs, b.Layout = span(from, to), maybeList(needs), l.layout(layout)
		h := l.history(model)
		h.builds = append(h.builds, b)
		if part != 0 {
			h.factory = append(h.factory, part)
		}
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

func (l *load) readLoads(rows pgx.Rows) error {
	var load standin.Load
	var model int64
	var watts, volts, amps, factor, low, high, celsius pgtype.Float8
	_, err := pgx.ForEachRow(rows, []any{&model, &load.Position, &load.Build, &load.Circuit, &watts, &volts, &load.Element,
		&amps, &factor, &low, &high, &celsius}, func() error {
		load.Watts, load.Volts, load.Amps, load.PowerFactor = maybeFloat(watts), maybeFloat(volts), maybeFloat(amps), maybeFloat(factor)
		load.OhmsLow, load.OhmsHigh, load.AtCelsius = maybeFloat(low), maybeFloat(high), maybeFloat(celsius)
		h := l.history(model)
		h.loads = append(h.loads, load)
		return nil
	})
	return err
}
