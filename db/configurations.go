package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// A configuration with the stored trust in its pattern, NULL where none is stored
// for its family.
const configurationsSQL = `
SELECT c.model_id, c.family_id, (SELECT f.family FROM families f WHERE f.id = c.family_id) AS family,
	coalesce((SELECT b.build FROM builds b WHERE b.id = c.build_id), '') AS build, c.issue_from, c.issue_to, c.code, coalesce(c.pattern, ''),
	coalesce((SELECT s.source FROM sources s WHERE s.id = c.source_id), ''),
	t.unrecorded - s.also_unrecorded::integer, s.distance, coalesce(s.nearest_count, 0), s.nearest_codes, s.nearest_patterns,
	ARRAY(
		SELECT array_to_string(n.models || n.model_count::text, E'\x1f')
		FROM unnest(s.nearest_codes, s.nearest_patterns) WITH ORDINALITY AS near (code, pattern, place)
		JOIN settings n ON n.family_id = c.family_id AND n.code = near.code AND n.pattern = near.pattern
		ORDER BY near.place)
FROM configurations c
LEFT JOIN trusted_families t ON t.family_id = c.family_id
LEFT JOIN settings s ON s.family_id = t.family_id AND s.code = array_to_string(c.code, ' ') AND s.pattern = c.pattern
WHERE c.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY c.model_id, family, build, c.issue_from NULLS FIRST`

func (o *own) readConfigurations(rows pgx.Rows) error {
	var c standin.Configuration
	var model, family int64
	var from, to pgtype.Int4
	var kept keptTrust
	_, err := pgx.ForEachRow(rows, append([]any{&model, &family, &c.Family, &c.Build, &from, &to, &c.Code, &c.Pattern, &c.Source},
		kept.columns()...), func() error {
		c.IssueFrom, c.IssueTo, c.Trust = maybeInt(from), maybeInt(to), kept.trust(c.Pattern)
		h := o.history(model)
		h.configurations = append(h.configurations, c)
		h.families = append(h.families, family)
		return nil
	})
	return err
}

const presetsSQL = `
SELECT x.model_id, x.part_id, coalesce((SELECT b.build FROM builds b WHERE b.id = x.build_id), '') AS build
FROM presets x
WHERE x.model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
ORDER BY x.model_id, (SELECT p.part_number FROM parts p WHERE p.id = x.part_id), build`

func (o *own) readPresets(rows pgx.Rows) error {
	var p preset
	var model int64
	_, err := pgx.ForEachRow(rows, []any{&model, &p.part, &p.Build}, func() error {
		h := o.history(model)
		h.presets = append(h.presets, p)
		return nil
	})
	return err
}
