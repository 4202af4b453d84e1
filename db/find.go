package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"standin"
)

// maxTyped is how much of what was typed is looked at, in characters.
const maxTyped = 100

// What was typed is compared with the brand and number of a model, and with its
// number alone, both folded. First come those that are the same or begin so, out
// of plain indexes. Only where there is none are those looked at whose number has
// in it or is like some of the words that were typed, by its trigrams: the number and
// not the brand, because thousands of models share the trigrams of a brand. Each
// source is bounded before it is ranked: two letters are the beginning of a
// tenth of a catalogue. similarity is a real: its digits after the seventh are noise,
// and four are more than anybody can tell apart.
const findSQL = `
WITH RECURSIVE asked AS MATERIALIZED (
	SELECT folded($1) AS word, plain($1) AS exact, regexp_split_to_array(trim($1), '\s+') AS words
), beginning AS MATERIALIZED (
	SELECT hit.id
	FROM asked a, LATERAL (
		(SELECT m.id FROM models m WHERE m.folded >= a.word AND m.folded < a.word || E'\U0010FFFF' ORDER BY m.folded LIMIT 500)
		UNION
		(SELECT m.id FROM models m WHERE m.folded_number >= a.word AND m.folded_number < a.word || E'\U0010FFFF' ORDER BY m.folded_number LIMIT 500)
	) AS hit
	WHERE a.word <> ''
), numbers AS (
	SELECT folded(array_to_string(a.words[n:], '')) AS number FROM asked a, generate_series(1, cardinality(a.words)) n
	UNION
	SELECT folded(array_to_string(a.words[:n], '')) FROM asked a, generate_series(1, cardinality(a.words)) n
), alike AS MATERIALIZED (
	SELECT hit.id
	FROM numbers w, LATERAL (
		SELECT m.id FROM models m WHERE m.folded_number % w.number OR m.folded_number LIKE '%' || w.number || '%'
		ORDER BY similarity(m.folded_number, w.number) DESC, m.id LIMIT 100
	) AS hit
	WHERE length(w.number) > 2 AND NOT EXISTS (SELECT FROM beginning)
), ranked AS (
	SELECT m.id, m.brand, m.model, m.variant, m.kind,
		round(CASE
			WHEN a.exact IN (plain(m.brand || m.model || m.variant), plain(m.model || m.variant)) THEN 1
			WHEN a.word IN (m.folded, m.folded_number) THEN 0.95
			WHEN starts_with(m.folded, a.word) OR starts_with(m.folded_number, a.word) THEN 0.9 * (1 + likeness) / 2
			ELSE 0.9 * likeness
		END::numeric, 4)::double precision AS nearness
	FROM asked a, models m, LATERAL (SELECT greatest(similarity(m.folded, a.word), similarity(m.folded_number, a.word))::double precision AS likeness) AS l
	WHERE m.id = ANY (ARRAY(SELECT id FROM beginning UNION SELECT id FROM alike))
	ORDER BY nearness DESC, m.brand, m.model, m.variant
	LIMIT $2
), chain AS (
	SELECT id, id AS model, 0 AS links FROM ranked
	UNION ALL
	SELECT id, (SELECT t.of_model_id FROM twins t WHERE t.model_id = chain.model), links + 1
	FROM chain WHERE model IS NOT NULL AND links < 100
), ends AS (
	SELECT DISTINCT ON (id) id, model FROM chain WHERE model IS NOT NULL AND links > 0 ORDER BY id, links DESC
)
SELECT r.id, r.brand, r.model, r.variant, coalesce(r.kind, ''), r.nearness,
	m.brand, coalesce(m.model, ''), coalesce(m.variant, '')
FROM ranked r
LEFT JOIN ends e ON e.id = r.id
LEFT JOIN models m ON m.id = e.model AND m.id = ANY (ARRAY(SELECT model FROM ends))
ORDER BY r.nearness DESC, r.brand, r.model, r.variant`

// FindModels are the models that a person may mean by what was typed, best first.
func (db *DB) FindModels(ctx context.Context, typed string, limit int) ([]standin.ModelMatch, error) {
	found, err := db.FindModelsOfEach(ctx, []string{typed}, limit)
	if err != nil {
		return nil, err
	}
	return found[0], nil
}

// FindModelsOfEach is FindModels for several texts, in one round trip.
func (db *DB) FindModelsOfEach(ctx context.Context, typed []string, limit int) (found [][]standin.ModelMatch, err error) {
	err = db.Ask(ctx, func(b *pgx.Batch) {
		found = make([][]standin.ModelMatch, len(typed))
		for i, text := range typed {
			b.Queue(findSQL, shortened(text), limit).Query(func(rows pgx.Rows) (err error) {
				found[i], err = pgx.CollectRows(rows, scanMatch)
				return err
			})
		}
	})
	return found, err
}

func scanMatch(row pgx.CollectableRow) (standin.ModelMatch, error) {
	var m standin.ModelMatch
	var brand *string
	var of standin.ModelKey
	err := row.Scan(&m.ID, &m.Brand, &m.Model, &m.Variant, &m.Kind, &m.Nearness, &brand, &of.Model, &of.Variant)
	if brand != nil {
		of.Brand = *brand
		m.TwinOf = &of
	}
	return m, err
}

// shortened is the beginning of an overlong text: nobody types so much.
func shortened(typed string) string {
	runes := []rune(typed)
	return string(runes[:min(len(runes), maxTyped)])
}
