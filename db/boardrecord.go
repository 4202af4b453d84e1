package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

// The one board, and every part linked to it either way, kept for the statements
// of a dossier (see dossier.go). Exactly that number, else the only one that is
// the same without case, spaces and punctuation.
const chooseBoardSQL = `
WITH RECURSIVE board AS (
	SELECT coalesce(
		(SELECT p.id FROM parts p WHERE p.part_number = $1 AND p.kind = 'board'),
		(SELECT CASE WHEN count(*) = 1 THEN min(p.id) END FROM parts p WHERE plain(p.part_number) = plain($1) AND p.kind = 'board')
		) AS part_id
), linked (part_id) AS (
	SELECT part_id FROM board WHERE part_id IS NOT NULL
	UNION
	SELECT next.part_id
	FROM linked l, LATERAL (
		SELECT s.new_part_id FROM supersessions s WHERE s.old_part_id = l.part_id
		UNION ALL
		SELECT s.old_part_id FROM supersessions s WHERE s.new_part_id = l.part_id
	) AS next (part_id)
)
SELECT set_config('standin.boards', ARRAY(SELECT part_id FROM board WHERE part_id IS NOT NULL)::text, true),
	set_config('standin.reachable', ARRAY(SELECT part_id FROM linked)::text, true),
	set_config('standin.models', '{}', true),
	set_config('standin.old_layouts', '{}', true),
	set_config('standin.adaptors', '{}', true)`

const markingsSQL = `
SELECT m.marking, p.part_number, coalesce(r.revision, ''), coalesce(m.note, '')
FROM markings m
JOIN parts p ON p.id = m.part_id
LEFT JOIN revisions r ON r.id = m.revision_id
WHERE m.part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])
ORDER BY m.marking`

// BoardOf returns all that is recorded of one board. Where there is none it is an
// error (CodeNotFound).
func (db *DB) BoardOf(ctx context.Context, partNumber string) (*standin.BoardRecord, error) {
	var l *load
	var record standin.BoardRecord
	err := db.Ask(ctx, func(b *pgx.Batch) {
		l, record = newLoad(nil), standin.BoardRecord{}
		b.Queue(chooseBoardSQL, partNumber)
		b.Queue(boardsSQL).Query(l.readBoards)
		b.Queue(revisionsSQL).Query(l.readRevisions)
		b.Queue(ratingsSQL).Query(l.readRatings)
		b.Queue(connectorsSQL).Query(l.readConnectors)
		b.Queue(stockSQL).Query(l.readStock)
		b.Queue(linksSQL).Query(func(rows pgx.Rows) error { return readSupersessions(rows, &record.Supersessions) })
		b.Queue(markingsSQL).Query(func(rows pgx.Rows) error { return readMarkings(rows, &record.Markings) })
	})
	if err != nil {
		return nil, err
	}
	if len(l.boards) == 0 {
		return nil, noBoard(partNumber)
	}
	record.Board, record.Stock = l.boards[0].Board, l.stock[l.boards[0].PartNumber]
	return &record, nil
}

func readSupersessions(rows pgx.Rows, all *[]standin.Supersession) error {
	return eachLink(rows, func(_, _ int64, s standin.Supersession) { *all = append(*all, s) })
}

func readMarkings(rows pgx.Rows, all *[]standin.Marking) error {
	var m standin.Marking
	_, err := pgx.ForEachRow(rows, []any{&m.Marking, &m.PartNumber, &m.Revision, &m.Note}, func() error {
		*all = append(*all, m)
		return nil
	})
	return err
}

func noBoard(partNumber string) error {
	return &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("there is no board with the part number %s", partNumber), Field: "part_number"}
}

// Rule 2 the other way round: models with a configuration for the family of the
// board, with a preset of it, or with a factory part from which it is reached
// over supersessions.
const modelsOfBoardSQL = `
WITH RECURSIVE board AS (
	SELECT b.part_id, b.family_id
	FROM boards b
	WHERE b.part_id = coalesce(
		(SELECT p.id FROM parts p WHERE p.part_number = $1 AND p.kind = 'board'),
		(SELECT CASE WHEN count(*) = 1 THEN min(p.id) END FROM parts p WHERE plain(p.part_number) = plain($1) AND p.kind = 'board'))
), leads_to_it (part_id) AS (
	SELECT part_id FROM board
	UNION
	SELECT before.part_id
	FROM leads_to_it l, LATERAL (
		SELECT s.old_part_id FROM supersessions s WHERE s.new_part_id = l.part_id
		UNION ALL
		SELECT s.new_part_id FROM supersessions s WHERE s.old_part_id = l.part_id AND s.interchange = 'two-way'
	) AS before (part_id)
)
SELECT m.brand, m.model, m.variant
FROM models m
WHERE m.id IN (
		SELECT model_id FROM configurations WHERE family_id = (SELECT family_id FROM board)
		UNION
		SELECT model_id FROM presets WHERE part_id = (SELECT part_id FROM board)
		UNION
		SELECT model_id FROM builds WHERE part_id = ANY (ARRAY(SELECT part_id FROM leads_to_it)))
	AND (m.brand, m.model, m.variant) > ($2, $3, $4)
	AND NOT EXISTS (SELECT FROM twins t WHERE t.model_id = m.id)
ORDER BY m.brand, m.model, m.variant
LIMIT $5`

// ModelsOfBoard returns the models, twins left out, for which rule 2 would look at
// the board: at most limit, in the order of their keys, those after a key.
func (db *DB) ModelsOfBoard(ctx context.Context, partNumber string, after standin.ModelKey, limit int) ([]standin.ModelKey, error) {
	return Rows(ctx, db, pgx.RowToStructByPos[standin.ModelKey], modelsOfBoardSQL, partNumber, after.Brand, after.Model, after.Variant, limit)
}
