package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"standin"
)

// What was typed is looked up as a part number and as a marking, whole or as a
// prefix, and as a whole GTIN, each in an index. A board is found once for each
// kind of number, by the number that comes first.
const findBoardsSQL = `
WITH asked AS MATERIALIZED (
	SELECT plain($1) AS word, lpad(plain($1), 14, '0') AS gtin
), hit AS (
	SELECT found.kind, found.part_id, found.number, found.exact
	FROM asked a, LATERAL (
		(SELECT 1 AS kind, p.id AS part_id, p.part_number AS number, plain(p.part_number) = a.word AS exact
		FROM parts p
		WHERE plain(p.part_number) >= a.word AND plain(p.part_number) < a.word || E'\U0010FFFF'
		ORDER BY plain(p.part_number), p.part_number LIMIT $2)
		UNION ALL
		(SELECT 2, m.part_id, m.marking, plain(m.marking) = a.word
		FROM markings m
		WHERE plain(m.marking) >= a.word AND plain(m.marking) < a.word || E'\U0010FFFF'
		ORDER BY plain(m.marking), m.marking LIMIT $2)
		UNION ALL
		(SELECT 3, b.part_id, b.gtin, true
		FROM boards b
		WHERE a.word ~ '^[0-9]{8,14}$' AND lpad(b.gtin, 14, '0') = a.gtin LIMIT $2)
	) AS found
	WHERE a.word <> ''
), first AS (
	SELECT DISTINCT ON (kind, part_id) kind, part_id, number, exact FROM hit ORDER BY kind, part_id, exact DESC, number
)
SELECT p.part_number, p.kind = 'adaptor', coalesce(b.title, a.title, ''), coalesce(f.family, ''),
	CASE h.kind WHEN 1 THEN 'part number' WHEN 2 THEN 'marking' ELSE 'GTIN' END, h.number, h.exact
FROM first h
JOIN parts p ON p.id = h.part_id
LEFT JOIN boards b ON b.part_id = h.part_id
LEFT JOIN adaptors a ON a.part_id = h.part_id
LEFT JOIN families f ON f.id = b.family_id
ORDER BY h.exact DESC, h.kind, h.number, p.part_number
LIMIT $2`

// FindBoards returns at most limit boards and adaptors that a number may lead to,
// exact matches first.
func (db *DB) FindBoards(ctx context.Context, typed string, limit int) ([]standin.BoardMatch, error) {
	return Rows(ctx, db, func(row pgx.CollectableRow) (standin.BoardMatch, error) {
		var m standin.BoardMatch
		err := row.Scan(&m.PartNumber, &m.Adaptor, &m.Title, &m.Family, &m.By, &m.Number, &m.Exact)
		return m, err
	}, findBoardsSQL, shortened(typed), limit)
}
