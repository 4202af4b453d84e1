package db

import (
	"slices"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// board is a board with the ids of itself, its family (0: a fixed board) and its
// revisions.
type board struct {
	standin.Board
	id, family int64
	revisions  []int64
}

// label returns the label of a revision by its id, "" for 0.
func (b *board) label(revision int64) string {
	if at := slices.Index(b.revisions, revision); at >= 0 {
		return b.Revisions[at].Label
	}
	return ""
}

// Rule 2, for any build of any model asked: the parts reachable over
// supersessions from the factory parts, the boards of the families with a
// configuration, the boards with a preset.
const chooseBoardsSQL = `
WITH RECURSIVE reachable (part_id) AS (
	SELECT part_id FROM builds
	WHERE model_id = ANY ((SELECT current_setting('standin.models'))::bigint[]) AND part_id IS NOT NULL
	UNION
	SELECT next.part_id
	FROM reachable r, LATERAL (
		SELECT s.new_part_id FROM supersessions s WHERE s.old_part_id = r.part_id
		UNION ALL
		SELECT s.old_part_id FROM supersessions s WHERE s.new_part_id = r.part_id AND s.interchange = 'two-way'
	) AS next (part_id)
), configured AS (
	SELECT DISTINCT family_id FROM configurations WHERE model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
), looked_at AS (
	SELECT part_id FROM reachable
	UNION
	SELECT part_id FROM boards WHERE family_id = ANY (ARRAY(SELECT family_id FROM configured))
	UNION
	SELECT part_id FROM presets WHERE model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
)
SELECT set_config('standin.reachable', ARRAY(SELECT part_id FROM reachable)::text, true),
	set_config('standin.adaptors', '{}', true), -- until chooseAdaptorsSQL has chosen some
	set_config('standin.boards', ARRAY(SELECT part_id FROM looked_at)::text, true),
	set_config('standin.families', ARRAY(
		SELECT family_id FROM configured
		UNION
		SELECT family_id FROM boards WHERE part_id = ANY (ARRAY(SELECT part_id FROM looked_at)) AND family_id IS NOT NULL)::text, true),
	ARRAY(SELECT part_id FROM reachable)`

// Nearly every model has a factory board of its own, so what models share would be
// read bit by bit, a question each. Where something is read, the boards and families
// beside the chosen ones are too, by their numbers: after some dozen questions all
// are held. Of many, as for a batch, only some bring others with them. Families,
// layouts and pages of boards that are held already are not read again.
const chooseNeighboursSQL = `
WITH pages AS (
	SELECT chosen / 256 AS page FROM unnest((SELECT current_setting('standin.boards'))::bigint[]) AS chosen
	EXCEPT
	SELECT unnest((SELECT $3::bigint[]))
	LIMIT 4
), beside AS (
	SELECT b.part_id
	FROM pages, LATERAL (SELECT part_id FROM boards WHERE part_id BETWEEN page * 256 AND page * 256 + 255 OFFSET 0) AS b
), parts AS (
	SELECT part_id FROM beside
	UNION
	SELECT chosen FROM unnest((SELECT current_setting('standin.boards'))::bigint[]) AS chosen
	WHERE chosen / 256 <> ALL ((SELECT $3::bigint[])::bigint[])
), related AS (
	(SELECT f.id
	FROM (SELECT DISTINCT chosen / 64 AS page FROM unnest((SELECT current_setting('standin.families'))::bigint[]) AS chosen LIMIT 16) AS p,
		LATERAL (SELECT id FROM families WHERE id BETWEEN page * 64 AND page * 64 + 63 OFFSET 0) AS f
	UNION
	SELECT unnest((SELECT current_setting('standin.families'))::bigint[]))
	EXCEPT
	SELECT unnest((SELECT $1::bigint[]))
)
SELECT set_config('standin.boards', ARRAY(SELECT part_id FROM parts)::text, true),
	set_config('standin.reachable', ((SELECT current_setting('standin.reachable'))::bigint[] || ARRAY(SELECT part_id FROM beside))::text, true),
	set_config('standin.families', ARRAY(SELECT id FROM related)::text, true),
	set_config('standin.held_layouts', (SELECT $2::bigint[])::text, true),
	ARRAY(SELECT page FROM pages),
	ARRAY(SELECT part_id FROM beside)`

const boardsSQL = `
SELECT b.part_id, coalesce(b.family_id, 0), (SELECT p.part_number FROM parts p WHERE p.id = b.part_id) AS part_number,
	coalesce((SELECT f.family FROM families f WHERE f.id = b.family_id), ''), b.position, coalesce(b.title, ''), coalesce(b.gtin, '')
FROM boards b
WHERE b.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])
ORDER BY part_number`

func (l *load) readBoards(rows pgx.Rows) error {
	var b board
	_, err := pgx.ForEachRow(rows, []any{&b.id, &b.family, &b.PartNumber, &b.Family, &b.Position, &b.Title, &b.GTIN}, func() error {
		l.boardAt[b.id] = len(l.boards)
		l.boards = append(l.boards, b)
		return nil
	})
	return err
}

const revisionsSQL = `
SELECT r.part_id, r.id, r.revision, r.issue, coalesce(r.layout_id, 0), r.made_from - DATE '1970-01-01', r.made_to - DATE '1970-01-01',
	r.options, r.volts_min, r.volts_max, r.hertz,
	coalesce((SELECT p.procedure FROM procedures p WHERE p.id = r.procedure_id), ''), coalesce(r.stop, '')
FROM revisions r
WHERE r.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])
ORDER BY r.part_id, r.issue NULLS FIRST, r.revision`

func (l *load) readRevisions(rows pgx.Rows) error {
	var r standin.Revision
	var part, id, layout int64
	var issue, from, to pgtype.Int4
	var low, high pgtype.Float8
	var options []string
	var hertz []float64
	_, err := pgx.ForEachRow(rows, []any{&part, &id, &r.Label, &issue, &layout, &from, &to, &options, &low, &high, &hertz, &r.Procedure, &r.Stop}, func() error {
		r.Issue, r.Layout, r.Made = maybeInt(issue), l.layout(layout), span(from, to)
		r.Options, r.Hertz = maybeList(options), maybeList(hertz)
		r.VoltsMin, r.VoltsMax = maybeFloat(low), maybeFloat(high)
		b := &l.boards[l.boardAt[part]]
		b.Revisions = append(b.Revisions, r)
		b.revisions = append(b.revisions, id)
		return nil
	})
	return err
}

// ratingsSQL selects one row per revision, in the order of revisionsSQL; its arrays include circuits without amps.
const ratingsSQL = `
SELECT r.part_id, r.revision, array_agg(x.circuit ORDER BY x.circuit), array_agg(x.max_amps ORDER BY x.circuit)
FROM revisions r
JOIN ratings x ON x.revision_id = r.id
WHERE r.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])
GROUP BY r.id`

func (l *load) readRatings(rows pgx.Rows) error {
	var part int64
	var revision string
	var circuits []string
	var amps []pgtype.Float8
	_, err := pgx.ForEachRow(rows, []any{&part, &revision, &circuits, &amps}, func() error {
		ratings := make(map[string]standin.Maybe[float64], len(circuits))
		for i, circuit := range circuits {
			ratings[circuit] = maybeFloat(amps[i])
		}
		revisions := l.boards[l.boardAt[part]].Revisions
		for i := range revisions {
			if revisions[i].Label == revision {
				revisions[i].Ratings = ratings
			}
		}
		return nil
	})
	return err
}
