package db

import (
	"github.com/jackc/pgx/v5"

	"standin"
)

// found is the model that a machine's key means: the badge, and the model at the
// end of its chain of twins; 0 where no model is meant.
type found struct {
	badge, model int64
}

// Each key is looked up by a subselect of its own, which the planner cannot turn
// into a join that reads every model. A name is matched exactly, else without
// case, spaces and punctuation where that matches one model only; the column
// "folded" has the index for it. Imports refuse circles of twins; the bound on
// links is for a catalogue that was filled by other means.
const findModelsSQL = `
WITH RECURSIVE asked AS (
	SELECT n, coalesce(
		(SELECT m.id FROM models m WHERE m.id = a.id),
		(SELECT m.id FROM models m WHERE m.brand = a.brand AND m.model = a.model AND m.variant = a.variant),
		(SELECT CASE WHEN count(*) = 1 THEN min(m.id) END FROM models m
			WHERE m.folded = folded(a.brand || a.model || a.variant)
				AND plain(m.brand) = plain(a.brand) AND plain(m.model) = plain(a.model) AND plain(m.variant) = plain(a.variant))
		) AS id
	FROM unnest((SELECT $1::text[]), (SELECT $2::text[]), (SELECT $3::text[]), (SELECT $4::bigint[])) WITH ORDINALITY AS a (brand, model, variant, id, n)
), chain AS (
	SELECT n, id AS badge, id AS model, 0 AS links FROM asked WHERE id IS NOT NULL
	UNION ALL
	SELECT n, badge, (SELECT t.of_model_id FROM twins t WHERE t.model_id = chain.model), links + 1
	FROM chain WHERE model IS NOT NULL AND links < 100
), ends AS (
	SELECT DISTINCT ON (n) n, badge, model FROM chain WHERE model IS NOT NULL ORDER BY n, links DESC
)
SELECT (SELECT catalogue FROM catalogue_state), (SELECT stock FROM catalogue_state), ` + ranOut + `,
	(SELECT ` + stamp + ` FROM catalogue_state), (` + editionSQL + `), (` + fittedSQL + `),
	coalesce(array_agg(n ORDER BY n), '{}'), coalesce(array_agg(badge ORDER BY n), '{}'), coalesce(array_agg(model ORDER BY n), '{}'),
	set_config('standin.badges', coalesce(array_agg(DISTINCT badge), '{}')::text, true),
	set_config('standin.models', coalesce(array_agg(DISTINCT model), '{}')::text, true)
FROM ends`

func (o *own) queueFound(b *pgx.Batch, machines []standin.Machine, ids []int64) {
	brands, models, variants := make([]string, len(machines)), make([]string, len(machines)), make([]string, len(machines))
	for i, m := range machines {
		brands[i], models[i], variants[i] = m.Brand, m.Model, m.Variant
	}
	o.found = make([]found, len(machines))
	b.Queue(findModelsSQL, brands, models, variants, ids).QueryRow(func(row pgx.Row) error {
		var at, badges, ends []int64
		if err := row.Scan(&o.state.Catalogue, &o.state.Stock, &o.state.RanOut, &o.state.Stamp, &o.edition, &o.fitted, &at, &badges, &ends, nil, nil); err != nil {
			return err
		}
		for i, n := range at {
			o.found[n-1] = found{badges[i], ends[i]}
		}
		return nil
	})
}
