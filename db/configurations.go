package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

const configurationsSQL = `
SELECT c.model_id, c.family_id, f.family, coalesce(b.build, ''), c.issue_from, c.issue_to, c.code, coalesce(c.pattern, ''), coalesce(s.source, '')
FROM configurations c
JOIN families f ON f.id = c.family_id
LEFT JOIN builds b ON b.id = c.build_id
LEFT JOIN sources s ON s.id = c.source_id
WHERE c.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY c.model_id, f.family, b.build NULLS FIRST, c.issue_from NULLS FIRST`

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
SELECT x.model_id, x.part_id, p.part_number, coalesce(b.build, '')
FROM presets x
JOIN parts p ON p.id = x.part_id
LEFT JOIN builds b ON b.id = x.build_id
WHERE x.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY x.model_id, p.part_number, b.build NULLS FIRST`

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
