package bundle

import (
	"fmt"

	"standin"
)

// warnNoTaker finds the configurations that no revision which may be supplied can
// take: the family has none of these issues, or none at all. A revision without an
// issue may be of any.
var warnNoTaker = check{sql: `WITH live AS MATERIALIZED (
			SELECT DISTINCT b.family, r.issue
			FROM next_boards b JOIN next_revisions r ON r.part_number = b.part_number
			WHERE b.family IS NOT NULL AND r.stop IS NULL
		)
	SELECT c.place, ARRAY[c.family, c.brand, c.model, c.variant, coalesce(c.issue_from::text, ''), coalesce(c.issue_to::text, ''),
			(SELECT coalesce(string_agg(l.issue::text, ', ' ORDER BY l.issue), '') FROM live l WHERE l.family = c.family)] AS cells
	FROM next_configurations c
	WHERE c.place IS NOT NULL AND NOT EXISTS (SELECT FROM live l WHERE l.family = c.family
		AND (l.issue IS NULL OR l.issue BETWEEN coalesce(c.issue_from, l.issue) AND coalesce(c.issue_to, l.issue)))`,
	say: func(_ *inspection, cells []string) standin.Finding {
		f := standin.Finding{Code: standin.NoTaker, Column: "family", Value: cells[0]}
		if cells[6] == "" {
			f.Message = fmt.Sprintf("the configuration for %s serves nobody yet: no board of family %s has a revision that may be supplied",
				modelText(cells[1:]), cells[0])
			return f
		}
		f.Column, f.Value = "issue_from", cells[4]
		if cells[4] == "" {
			f.Column, f.Value = "issue_to", cells[5]
		}
		f.Message = fmt.Sprintf("the configuration for %s is for issues %s, but the boards of family %s that may be supplied are of issue %s: none can take it",
			modelText(cells[1:]), between(cells[4], cells[5]), cells[0], cells[6])
		return f
	},
}
