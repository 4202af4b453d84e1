package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

const configurationsSQL = `
SELECT c.model_id, c.family_id, (SELECT f.family FROM families f WHERE f.id = c.family_id) AS family,
	coalesce((SELECT b.build FROM builds b WHERE b.id = c.build_id), '') AS build, c.issue_from, c.issue_to, c.code, coalesce(c.pattern, ''),
	coalesce((SELECT s.source FROM sources s WHERE s.id = c.source_id), '')
FROM configurations c
WHERE c.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY c.model_id, family, build, c.issue_from NULLS FIRST`

func (l *load) readConfigurations(rows pgx.Rows) error {
	var c standin.Configuration
	var model, family int64
	var from, to pgtype.Int4
	_, err := pgx.ForEachRow(rows, []any{&model, &family, &c.Family, &c.Build, &from, &to, &c.Code, &c.Pattern, &c.Source}, func() error {
		c.IssueFrom, c.IssueTo = maybeInt(from), maybeInt(to)
		h := l.history(model)
		h.configurations = append(h.configurations, c)
		h.families = append(h.families, family)
		return nil
	})
	return err
}

const presetsSQL = `
SELECT x.model_id, x.part_id, (SELECT p.part_number FROM parts p WHERE p.id = x.part_id) AS part_number,
	coalesce((SELECT b.build FROM builds b WHERE b.id = x.build_id), '') AS build
FROM presets x
WHERE x.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY x.model_id, part_number, build`

func (l *load) readPresets(rows pgx.Rows) error {
	var p standin.Preset
	var model, part int64
	_, err := pgx.ForEachRow(rows, []any{&model, &part, &p.PartNumber, &p.Build}, func() error {
		h := l.history(model)
		h.presets = append(h.presets, p)
		h.presetParts = append(h.presetParts, part)
		return nil
	})
	return err
}
