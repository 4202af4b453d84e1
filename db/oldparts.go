package db

import (
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
)

// A number on a board is matched exactly, as part number and as marking; where
// nothing is, without case, spaces and punctuation. A part that it leads to
// stands for all its revisions, or where none is recorded for itself alone. One
// row with all of it, because the layouts must be kept for connectorsSQL too.
//
// The kinds of appliance are those of the models for which a part is a factory
// board, or one linked to it, or set; and of models its family is configured for, a
// few hundred of these at most: a family may have a million, and the kinds only
// give a contradiction its words.
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
), linked (told, part_id) AS (
	SELECT DISTINCT part_id, part_id FROM revised
	UNION
	SELECT l.told, next.part_id
	FROM linked l, LATERAL (
		SELECT s.new_part_id FROM supersessions s WHERE s.old_part_id = l.part_id
		UNION ALL
		SELECT s.old_part_id FROM supersessions s WHERE s.new_part_id = l.part_id
	) AS next (part_id)
), serves AS (
	SELECT b.part_id, b.position, coalesce((SELECT f.family FROM families f WHERE f.id = b.family_id), '') AS family, ARRAY(
		SELECT m.kind FROM models m WHERE m.kind IS NOT NULL AND m.id = ANY (ARRAY(
			SELECT model_id FROM builds WHERE part_id = ANY (ARRAY(SELECT l.part_id FROM linked l WHERE l.told = b.part_id))
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

func (l *load) queueOldParts(b *pgx.Batch, machines []standin.Machine) {
	numbers := make([]string, len(machines))
	for i, m := range machines {
		numbers[i] = m.OldPart
	}
	l.oldParts = make([][]standin.OldPart, len(machines))
	b.Queue(chooseOldPartsSQL, numbers).QueryRow(func(row pgx.Row) error {
		var found, parts, revisions, positions, families, kinds []string
		var layouts []int64
		if err := row.Scan(&found, &parts, &revisions, &layouts, &positions, &families, &kinds, nil); err != nil {
			return err
		}
		leadsTo := map[string][]standin.OldPart{}
		for i, number := range found {
			leadsTo[number] = append(leadsTo[number], standin.OldPart{
				PartNumber: parts[i], Revision: revisions[i], Layout: l.layout(layouts[i]),
				Position: positions[i], Family: families[i], Kinds: strings.FieldsFunc(kinds[i], func(r rune) bool { return r == '\n' }),
			})
		}
		for i, number := range numbers {
			l.oldParts[i] = leadsTo[number]
		}
		return nil
	})
}
