package bundle

import (
	"fmt"

	"standin"
)

// warnOutsideSpan finds the builds that begin before their model or after it, or end
// after it. Where the date would be within with its day and month exchanged, that is
// said.
var warnOutsideSpan = check{sql: `WITH outside AS (
			SELECT coalesce(b.place, m.place) AS place, b.brand, b.model, b.variant, b.build, m.made_from AS since, m.made_to AS until,
				CASE WHEN b.made_from < m.made_from OR b.made_from > m.made_to THEN 'made_from' ELSE 'made_to' END AS at,
				CASE WHEN b.made_from < m.made_from OR b.made_from > m.made_to THEN b.made_from ELSE b.made_to END AS day
			FROM next_builds b JOIN next_models m ON ` + sameModel("m", "b") + `
			WHERE coalesce(b.place, m.place) IS NOT NULL AND (b.made_from < m.made_from OR b.made_from > m.made_to OR b.made_to > m.made_to)
				AND coalesce(b.made_from, b.made_to) < ` + farAway + `
		), exchanged AS (
			SELECT o.*, CASE WHEN extract(day FROM day) <= 12 THEN
				make_date(extract(year FROM day)::integer, extract(day FROM day)::integer, extract(month FROM day)::integer) END AS other
			FROM outside o
		)
	SELECT place, ARRAY[brand, model, variant, build, at, to_char(day, 'YYYY-MM-DD'), coalesce(to_char(since, 'YYYY-MM-DD'), ''), coalesce(to_char(until, 'YYYY-MM-DD'), ''),
		CASE WHEN other <> day AND other >= coalesce(since, other) AND other <= coalesce(until, other) THEN to_char(other, 'YYYY-MM-DD') ELSE '' END] AS cells
	FROM exchanged`,
	say: func(_ *inspection, cells []string) standin.Finding {
		verb := map[string]string{"made_from": "begins", "made_to": "ends"}[cells[4]]
		f := standin.Finding{Code: standin.OutsideSpan, Column: cells[4], Value: cells[5],
			Message: fmt.Sprintf("build %s of %s %s %s, but the model was made %s", cells[3], modelText(cells), verb, cells[5], between(cells[6], cells[7]))}
		if cells[8] != "" {
			f.Code = standin.DayAndMonth
			f.Message += ": with day and month exchanged it would be " + cells[8]
		}
		return f
	},
}

// warnBackwards finds the supersessions whose new part was first made before the old
// one: the columns are probably exchanged. Two-way links go either way.
var warnBackwards = check{sql: `WITH first AS MATERIALIZED (
			SELECT part_number, min(made_from) AS made_from, min(place) AS place FROM next_revisions
			GROUP BY part_number HAVING bool_and(made_from IS NOT NULL)
		)
	SELECT coalesce(s.place, o.place, n.place) AS place, ARRAY[s.old_part, s.new_part, to_char(o.made_from, 'YYYY-MM-DD'), to_char(n.made_from, 'YYYY-MM-DD')] AS cells
	FROM next_supersessions s JOIN first o ON o.part_number = s.old_part JOIN first n ON n.part_number = s.new_part
	WHERE coalesce(s.place, o.place, n.place) IS NOT NULL AND n.made_from < o.made_from AND s.interchange IS DISTINCT FROM 'two-way'`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.OtherColumn, Column: "new_part", Value: cells[1],
			Message: fmt.Sprintf("%s is to supersede %s, but was made earlier (from %s, the other from %s): are the old and the new part exchanged?",
				cells[1], cells[0], cells[3], cells[2])}
	},
}
