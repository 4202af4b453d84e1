package bundle

import (
	"fmt"
	"strings"

	"standin"
)

// Days from this one on stand for days that could not be read. The time before them
// is not a gap.
const farAway = "'3000-01-01'"

// ofTouchedModels is the condition that some build of the model of n is under review.
var ofTouchedModels = `EXISTS (SELECT FROM next_builds d WHERE d.place IS NOT NULL AND ` + sameModel("d", "n") + `)`

// warnGaps finds the builds that begin later than the day after the one before
// ended. Where only the earlier build is in the bundle, it is at fault.
var warnGaps = check{sql: `WITH held AS (` + heldBuilds + ` n WHERE ` + ofTouchedModels + `
		), followed AS (
			SELECT place, brand, model, variant, position, build, made_from, lag(place) OVER w AS place_before,
				lag(build) OVER w AS build_before, lag(made_to) OVER w AS ended
			FROM held WHERE made_from IS NOT NULL OR made_to IS NOT NULL
			WINDOW w AS (PARTITION BY ` + eachModel + `, position ORDER BY made_from NULLS FIRST, build)
		)
	SELECT coalesce(place, place_before) AS place,
		ARRAY[CASE WHEN place IS NULL THEN 'made_to' ELSE 'made_from' END, brand, model, variant, build,
			to_char(made_from, 'YYYY-MM-DD'), build_before, to_char(ended, 'YYYY-MM-DD')] AS cells
	FROM followed
	WHERE made_from > ended + 1 AND made_from < ` + farAway + ` AND coalesce(place, place_before) IS NOT NULL`,
	say: func(_ *inspection, cells []string) standin.Finding {
		f := standin.Finding{Code: standin.Gap, Column: cells[0], Value: cells[5],
			Message: fmt.Sprintf("build %s of %s begins %s, build %s before it ends %s: no build covers the days between",
				cells[4], modelText(cells[1:]), cells[5], cells[6], cells[7])}
		if cells[0] == "made_to" {
			f.Value = cells[7]
		}
		return f
	},
}

// warnNoDifference finds the builds with the same board and harness as the build
// before. Builds of which either is not recorded are left out. Builds that differ
// in their serials alone are ordered by these.
var warnNoDifference = check{sql: `WITH followed AS (
			SELECT place, brand, model, variant, build, made_from, part_number, revision, layout,
				lag(place) OVER w AS place_before, lag(build) OVER w AS build_before, lag(part_number) OVER w AS part_before,
				lag(revision) OVER w AS revision_before, lag(layout) OVER w AS layout_before
			FROM next_builds n
			WHERE coalesce(made_from::text, made_to::text, serial_from, serial_to) IS NOT NULL AND ` + ofTouchedModels + `
			WINDOW w AS (PARTITION BY ` + eachModel + `, position ORDER BY made_from NULLS FIRST, length(serial_from) NULLS FIRST, serial_from, build)
		)
	SELECT coalesce(place, place_before) AS place,
		ARRAY[brand, model, variant, build, build_before, concat_ws(' revision ', part_number, revision), layout] AS cells
	FROM followed
	WHERE part_number = part_before AND layout = layout_before AND revision IS NOT DISTINCT FROM revision_before
		AND coalesce(place, place_before) IS NOT NULL`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.NoDifference, Column: "build", Value: cells[3],
			Message: fmt.Sprintf("build %s of %s has the board (%s) and the harness (%s) of build %s before it: its cut-in makes no difference",
				cells[3], modelText(cells), cells[5], cells[6], cells[4])}
	},
}

// warnUnmetOptions finds the options that a build needs and that no board of a
// family is recorded to have, for each family that is configured for the model or
// that the factory board is of. A family for which no options are recorded is left
// out.
var warnUnmetOptions = check{sql: `WITH has AS MATERIALIZED (
			SELECT b.family, array_agg(DISTINCT o) FILTER (WHERE o IS NOT NULL) AS options
			FROM next_boards b JOIN next_revisions r ON r.part_number = b.part_number
			LEFT JOIN LATERAL unnest(r.options) AS u (o) ON true
			WHERE b.family IS NOT NULL AND r.options IS NOT NULL
			GROUP BY b.family
		), lacking AS MATERIALIZED (
			SELECT h.family, n.option, array_to_string(h.options, ' ') AS options
			FROM has h CROSS JOIN (SELECT DISTINCT unnest(needs) AS option FROM next_builds WHERE place IS NOT NULL) n
			WHERE h.options IS NULL OR n.option <> ALL (h.options)
		), needed AS MATERIALIZED (
			SELECT place, brand, model, variant, build, part_number, unnest(needs) AS option FROM next_builds WHERE place IS NOT NULL
		), unmet AS (
			SELECT n.place, n.brand, n.model, n.variant, n.build, l.option, l.family, l.options
			FROM lacking l JOIN needed n ON n.option = l.option JOIN next_boards b ON b.part_number = n.part_number AND b.family = l.family
			UNION
			SELECT n.place, n.brand, n.model, n.variant, n.build, l.option, l.family, l.options
			FROM lacking l JOIN needed n ON n.option = l.option
			JOIN next_configurations c ON c.family = l.family AND ` + sameModel("c", "n") + ` AND c.build IN ('', n.build)
		)
	SELECT place, ARRAY[brand, model, variant, build, option, family, coalesce(options, '')] AS cells FROM unmet`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.UnmetOption, Column: "needs", Value: cells[4],
			Message: fmt.Sprintf("build %s of %s needs %s, which no board of family %s is recorded to have",
				cells[3], modelText(cells), cells[4], cells[5]),
			Correction: standin.NearestName(cells[4], strings.Fields(cells[6]))}
	},
}
