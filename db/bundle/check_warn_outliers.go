package bundle

import (
	"fmt"

	"standin"
)

// A value must be beyond all others of its group by a factor to be warned of: less
// than 10, because the others differ among themselves, but more where there are few.
const (
	farOfMany = "5" // at least ten others
	farOfFew  = "8" // at least five
)

// warnOutliers finds the numbers of a column that are far above, or far below, all
// others of the rows with the same circuit: a decimal point in the wrong place, or
// another unit. There must be some others.
func warnOutliers(file, column, group, unit string) check {
	return check{
		sql: fmt.Sprintf(`WITH ranked AS (
			SELECT place, %[2]s AS x, %[3]s AS grouped, count(*) OVER w AS many,
				row_number() OVER (PARTITION BY %[3]s ORDER BY %[2]s) AS up, row_number() OVER (PARTITION BY %[3]s ORDER BY %[2]s DESC) AS down,
				lead(%[2]s) OVER (PARTITION BY %[3]s ORDER BY %[2]s) AS above, lag(%[2]s) OVER (PARTITION BY %[3]s ORDER BY %[2]s) AS below
			FROM next_%[1]s WHERE %[2]s > 0 AND %[3]s IN (SELECT %[3]s FROM next_%[1]s WHERE place IS NOT NULL) WINDOW w AS (PARTITION BY %[3]s)
		), measured AS (
			SELECT r.*, CASE WHEN many > 10 THEN %[4]s ELSE %[5]s END AS far FROM ranked r WHERE many > 5
		)
		SELECT place, ARRAY[x::text, grouped, CASE WHEN down = 1 AND x >= far * below THEN below ELSE above END::text] AS cells
		FROM measured WHERE place IS NOT NULL AND (down = 1 AND x >= far * below OR up = 1 AND x * far <= above)`,
			file, column, group, farOfMany, farOfFew),
		say: func(_ *inspection, cells []string) standin.Finding {
			of := ""
			if cells[1] != "" {
				of = " of " + cells[1]
			}
			return standin.Finding{Code: standin.OffByFactor, Column: column, Value: cells[0],
				Message: fmt.Sprintf("%s %s is far from all others%s, of which the nearest is %s %s: is the decimal point in its place, and the unit right?",
					cells[0], unit, of, cells[2], unit)}
		},
	}
}
