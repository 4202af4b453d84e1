package bundle

import (
	"context"
	"fmt"
	"standin/db/internal/pg"
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
)

// For each configuration, how often the reading tallied with the pattern that is
// recorded now, and how often it did not.
const readingsSQL = `
SELECT c.family, c.brand, c.model, c.variant, c.code, c.pattern,
	count(*) FILTER (WHERE f.tally = 'tallies'), count(*) FILTER (WHERE f.tally = 'does-not-tally')
FROM (SELECT DISTINCT family, brand, model, variant, coalesce(code, '{}') AS code, pattern FROM bundle.configurations) c
JOIN fittings f ON f.of_brand = c.brand AND f.of_model = c.model AND f.of_variant = c.variant
	AND f.family = c.family AND f.code = c.code AND f.pattern = c.pattern
WHERE $1 = '' OR c.family = $1
GROUP BY c.family, c.brand, c.model, c.variant, c.code, c.pattern
HAVING count(*) FILTER (WHERE f.tally = 'does-not-tally') > 0
ORDER BY c.family, c.brand, c.model, c.variant, c.code`

// failingReadings finds the configurations, of one family or of all, whose readings
// keep failing in the workshop.
func (s *snapshot) failingReadings(ctx context.Context, family string) (found []standin.Finding, err error) {
	rows, err := s.query(ctx, readingsSQL, family)
	if err != nil {
		return nil, pg.Translate(err)
	}
	var of, pattern string
	var model standin.ModelKey
	var code []string
	var n standin.FittingCounts
	_, err = pgx.ForEachRow(rows, []any{&of, &model.Brand, &model.Model, &model.Variant, &code, &pattern, &n.Tallied, &n.DidNotTally}, func() error {
		if n.KeepsFailing() {
			found = append(found, standin.Finding{
				Severity: standin.SeverityWarning, File: "configurations.csv", Column: "pattern", Value: pattern, Code: standin.FailingReadings,
				Message: fmt.Sprintf("%d of %d boards of family %s that were set to %s for %s did not show this pattern: the code or the pattern is probably not right",
					n.DidNotTally, n.DidNotTally+n.Tallied, of, strings.Join(code, " "), model),
			})
		}
		return nil
	})
	return found, pg.Translate(err)
}
