package bundle

import (
	"context"
	"fmt"
	"strings"

	"standin"
)

// mostCompared is how many values of a column are compared with what is stored: more
// would tell no more.
const mostCompared = 200

// warnOtherColumn finds the columns whose values the stored file knows of another
// column, and not of this one: half of those that are compared, and two at least.
// Single characters and numbers, which may be anything, are not compared.
func (t *importTx) warnOtherColumn(ctx context.Context, c fileCount) ([]located, error) {
	if c.added+c.changed == 0 || c.Name == "sources" {
		return nil, nil
	}
	names, news, olds := []string{}, []string{}, []string{}
	for _, column := range c.Columns {
		if column.Kind == standin.Text || column.Kind == standin.Words {
			names = append(names, "'"+column.Name+"'")
			news = append(news, cellText(column, "d"))
			olds = append(olds, cellText(column, "b"))
		}
	}
	found, _, err := t.run(ctx, check{sql: fmt.Sprintf(`WITH news AS MATERIALIZED (
			SELECT * FROM (SELECT at, value, min(place) AS place, row_number() OVER (PARTITION BY at) AS nth, count(*) OVER (PARTITION BY at) AS many
				FROM %[1]s d CROSS JOIN LATERAL unnest(ARRAY[%[2]s], ARRAY[%[3]s]) AS u (at, value)
				WHERE op <> 'removed' AND length(value) > 1 AND value !~ '^[0-9 .]+$' AND value <> 'none'
				GROUP BY at, value) n WHERE nth <= %[6]d AND many > 1 -- of one value nothing is said, nor the stored file read
		), known AS MATERIALIZED (
			SELECT DISTINCT u.at, u.value FROM bundle.%[4]s b CROSS JOIN LATERAL unnest(ARRAY[%[2]s], ARRAY[%[5]s]) AS u (at, value)
			WHERE u.value IN (SELECT value FROM news)
		), foreigners AS (
			SELECT n.at, k.at AS home, n.value, n.place FROM news n JOIN known k ON k.value = n.value AND k.at <> n.at
			WHERE NOT EXISTS (SELECT FROM known s WHERE s.at = n.at AND s.value = n.value)
		)
		SELECT min(f.place) AS place, ARRAY[f.at, f.home, count(*)::text, (SELECT count(*) FROM news n WHERE n.at = f.at)::text,
			(array_agg(f.value ORDER BY f.place))[1]] AS cells
		FROM foreigners f GROUP BY f.at, f.home
		HAVING count(*) >= 2 AND 2 * count(*) >= (SELECT count(*) FROM news n WHERE n.at = f.at)`,
		deltaOf(c.File), strings.Join(names, ", "), strings.Join(news, ", "), c.Name, strings.Join(olds, ", "), mostCompared),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.OtherColumn, Column: cells[0], Value: cells[4],
				Message: fmt.Sprintf("%s of the %s new values of %s, such as %s, are known as values of %s: are the two columns exchanged?",
					cells[2], cells[3], cells[0], cells[4], cells[1])}
		}}, len(c.Columns))
	return found, err
}
