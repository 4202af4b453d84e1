package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"standin"
)

// fittedSQL finds whether any fitting is recorded, so that others need not be
// counted.
const fittedSQL = `SELECT EXISTS (SELECT FROM fittings)`

const fittingCountsSQL = `
SELECT k.brand, k.model, k.variant, k.part_number, k.revision,
	count(*) FILTER (WHERE f.outcome = 'works'), count(*) FILTER (WHERE f.outcome = 'failed-at-once'),
	count(*) FILTER (WHERE f.outcome = 'failed-within-days'), count(*) FILTER (WHERE f.outcome = 'returned'),
	count(*) FILTER (WHERE f.outcome = 'found-wrong'),
	count(*) FILTER (WHERE f.tally = 'tallies'), count(*) FILTER (WHERE f.tally = 'does-not-tally')
FROM (SELECT DISTINCT brand, model, variant, part_number, revision
	FROM unnest($1::text[], $2::text[], $3::text[], $4::text[], $5::text[]) AS k (brand, model, variant, part_number, revision)) k
JOIN fittings f ON f.of_brand = k.brand AND f.of_model = k.model AND f.of_variant = k.variant
	AND f.part_number = k.part_number AND f.revision = k.revision
GROUP BY k.brand, k.model, k.variant, k.part_number, k.revision`

// FittingCounts counts the fittings of each key that has any.
func (db *DB) FittingCounts(ctx context.Context, keys []standin.FittingKey) (map[standin.FittingKey]standin.FittingCounts, error) {
	columns := make([][]string, 5)
	for _, k := range keys {
		for i, value := range []string{k.Brand, k.Model, k.Variant, k.PartNumber, k.Revision} {
			columns[i] = append(columns[i], value)
		}
	}
	counts := map[standin.FittingKey]standin.FittingCounts{}
	var k standin.FittingKey
	var n standin.FittingCounts
	err := db.Ask(ctx, func(b *pgx.Batch) {
		b.Queue(fittingCountsSQL, columns[0], columns[1], columns[2], columns[3], columns[4]).Query(func(rows pgx.Rows) error {
			clear(counts)
			_, err := pgx.ForEachRow(rows, []any{&k.Brand, &k.Model, &k.Variant, &k.PartNumber, &k.Revision,
				&n.Works, &n.FailedAtOnce, &n.FailedWithinDays, &n.Returned, &n.FoundWrong, &n.Tallied, &n.DidNotTally}, func() error {
				counts[k] = n
				return nil
			})
			return err
		})
	})
	return counts, err
}
