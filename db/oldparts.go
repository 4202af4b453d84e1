package db

import (
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
)

// A number on a board is matched exactly, as part number and as marking; where
// nothing is, without case, spaces and punctuation. A part that it leads to
// stands for all its revisions, or where none is recorded for itself alone. One
// row with all of it, because the layouts must be kept for connectorsSQL too.
//
// The kinds of appliance are those of the models of which the part, or one linked
// to it, is a factory board, of those it is preset for, and of those its family is
// configured for. Of the last only a few hundred are read: a family may have a
// million, and the kinds are only named in the reason of a contradiction.
const chooseOldPartsSQL = `
WITH RECURSIVE asked AS (
	SELECT DISTINCT number FROM unnest((SELECT $1::text[])) AS a (number) WHERE plain(number) <> ''
), exact AS (
	SELECT a.number, hit.part_id, hit.revision_id
	FROM asked a, LATERAL (
		SELECT p.id, NULL::bigint FROM parts p WHERE p.part_number = a.number AND p.kind = 'board'
		UNION ALL
		SELECT m.part_id, m.revision_id FROM markings m WHERE m.marking = a.number
	) AS hit (part_id, revision_id)
), near AS (
	SELECT a.number, hit.part_id, hit.revision_id
	FROM asked a, LATERAL (
		SELECT p.id, NULL::bigint FROM parts p WHERE plain(p.part_number) = plain(a.number) AND p.kind = 'board'
		UNION ALL
		SELECT m.part_id, m.revision_id FROM markings m WHERE plain(m.marking) = plain(a.number)
	) AS hit (part_id, revision_id)
	WHERE a.number NOT IN (SELECT number FROM exact)
), revised AS (
	SELECT DISTINCT hit.number, hit.part_id, (SELECT p.part_number FROM parts p WHERE p.id = hit.part_id) AS part_number, coalesce(r.revision, '') AS revision, coalesce(r.layout_id, 0) AS layout_id
	FROM (SELECT number, part_id, revision_id FROM exact UNION ALL SELECT number, part_id, revision_id FROM near) AS hit
	LEFT JOIN revisions r ON r.part_id = hit.part_id AND r.id = coalesce(hit.revision_id, r.id)
), linked (asked_id, part_id) AS (
	SELECT DISTINCT part_id, part_id FROM revised
	UNION
	SELECT l.asked_id, next.part_id
	FROM linked l, LATERAL (
		SELECT s.new_part_id FROM supersessions s WHERE s.old_part_id = l.part_id
		UNION ALL
		SELECT s.old_part_id FROM supersessions s WHERE s.new_part_id = l.part_id
	) AS next (part_id)
), serves AS (
	SELECT b.part_id, b.position, coalesce((SELECT f.family FROM families f WHERE f.id = b.family_id), '') AS family, ARRAY(
		SELECT m.kind FROM models m WHERE m.kind IS NOT NULL AND m.id = ANY (ARRAY(
			SELECT model_id FROM builds WHERE part_id = ANY (ARRAY(SELECT l.part_id FROM linked l WHERE l.asked_id = b.part_id))
			UNION
			SELECT model_id FROM presets WHERE part_id = b.part_id
			UNION
			(SELECT model_id FROM configurations WHERE family_id = b.family_id LIMIT 300)))
		GROUP BY m.kind ORDER BY m.kind) AS kinds
	FROM boards b
	WHERE b.part_id = ANY (ARRAY(SELECT part_id FROM revised))
), ordered AS (
	SELECT number, part_number, revision, layout_id, position, family, array_to_string(kinds, E'\n') AS kinds
	FROM revised JOIN serves USING (part_id) ORDER BY number, part_number, revision
)
SELECT array_agg(number), array_agg(part_number), array_agg(revision), array_agg(layout_id),
	array_agg(position), array_agg(family), array_agg(kinds),
	set_config('standin.old_layouts', coalesce(array_agg(layout_id), '{}')::text, true)
FROM ordered`

// oldPart is a part that a number leads to, with the id of its layout, 0 where
// none is recorded.
type oldPart struct {
	standin.OldPart
	layout int64
}

func (o *own) queueOldParts(b *pgx.Batch, machines []standin.Machine) {
	o.oldParts = make([][]oldPart, len(machines))
	numbers := make([]string, len(machines))
	for i, m := range machines {
		numbers[i] = m.OldPart
	}
	if !slices.ContainsFunc(numbers, func(n string) bool { return n != "" }) {
		return
	}
	b.Queue(chooseOldPartsSQL, numbers).QueryRow(func(row pgx.Row) error {
		var found, parts, revisions, positions, families, kinds []string
		var layouts []int64
		if err := row.Scan(&found, &parts, &revisions, &layouts, &positions, &families, &kinds, nil); err != nil {
			return err
		}
		leadsTo := map[string][]oldPart{}
		for i, number := range found {
			leadsTo[number] = append(leadsTo[number], oldPart{standin.OldPart{
				PartNumber: parts[i], Revision: revisions[i],
				Position: positions[i], Family: families[i], Kinds: strings.FieldsFunc(kinds[i], func(r rune) bool { return r == '\n' }),
			}, layouts[i]})
		}
		for i, number := range numbers {
			o.oldParts[i] = leadsTo[number]
		}
		return nil
	})
}
