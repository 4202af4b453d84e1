package bundle

import (
	"fmt"

	"standin"
)

// checkBuildSpans finds the builds that share a day with another build of their
// model in the same position, each with one of those it overlaps, for the models
// whose builds change. The later row is at fault. A build without any date overlaps
// nothing.
var checkBuildSpans = check{sql: `WITH dated AS MATERIALIZED (
			SELECT place, coalesce(place, -1) AS rank, brand, model, variant, position, build, made_from, made_to,
				coalesce(made_from, '-infinity') AS begins, coalesce(made_to, 'infinity') AS ends,
				coalesce(made_from, '-infinity') <= max(coalesce(made_to, 'infinity')) OVER (
					PARTITION BY ` + eachModel + `, position ORDER BY made_from NULLS FIRST
					ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS shares
			FROM (` + heldBuilds + ` n
				WHERE EXISTS (SELECT FROM delta_builds s WHERE s.brand = n.brand AND s.model = n.model AND s.variant = n.variant)) held
			WHERE held.dated
		), spans AS MATERIALIZED (
			SELECT place, rank, brand, model, variant, position, build, made_from, made_to, begins, ends
			FROM dated JOIN (SELECT DISTINCT brand, model, variant, position FROM dated WHERE shares) s USING (brand, model, variant, position)
		)
	SELECT DISTINCT ON (a.place) a.place,
		ARRAY[b.build, b.rank::text, a.build, coalesce(to_char(a.made_from, 'YYYY-MM-DD'), ''),
			coalesce(to_char(b.made_from, 'YYYY-MM-DD'), ''), coalesce(to_char(b.made_to, 'YYYY-MM-DD'), '')] AS cells
	FROM spans a JOIN spans b ON ` + sameModel("a", "b") + ` AND a.position = b.position
	WHERE a.place IS NOT NULL AND b.rank < a.rank AND a.begins <= b.ends AND b.begins <= a.ends
	ORDER BY a.place, b.rank`,
	say: func(in *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.Overlap, Column: "made_from", Value: cells[3],
			Message: fmt.Sprintf("build %s overlaps build %s (%s), which is made %s",
				cells[2], cells[0], in.at(placeText(cells[1])), between(cells[4], cells[5]))}
	},
}

// checkIssueRanges finds the configurations of the same family, model and build
// that share an issue. Whether any with one key do is found by going through them in
// order; only those of such keys, which are few, are paired.
var checkIssueRanges = check{sql: `WITH ranged AS MATERIALIZED (
			SELECT place, coalesce(place, -1) AS rank, family, brand, model, variant, build, issue_from, issue_to,
				coalesce(issue_from, 0) AS begins, coalesce(issue_to, 9223372036854775807) AS ends,
				coalesce(issue_from, 0) <= max(coalesce(issue_to, 9223372036854775807)) OVER (
					PARTITION BY ` + eachModel + `, family, build ORDER BY issue_from NULLS FIRST
					ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS shares
			FROM next_configurations n
			WHERE EXISTS (SELECT FROM delta_configurations s WHERE ` + sameModel("s", "n") + `)
		), issues AS MATERIALIZED (
			SELECT place, rank, family, brand, model, variant, build, issue_from, issue_to, begins, ends FROM ranged JOIN (SELECT DISTINCT family, brand, model, variant, build FROM ranged WHERE shares) s
				USING (family, brand, model, variant, build)
		)
	SELECT DISTINCT ON (a.place) a.place,
		ARRAY[b.rank::text, coalesce(a.issue_from::text, ''), coalesce(b.issue_from::text, ''), coalesce(b.issue_to::text, ''),
			a.family, a.brand, a.model, a.variant] AS cells
	FROM issues a JOIN issues b USING (family, brand, model, variant, build)
	WHERE a.place IS NOT NULL AND b.rank < a.rank AND a.begins <= b.ends AND b.begins <= a.ends
	ORDER BY a.place, b.rank`,
	say: func(in *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.Overlap, Column: "issue_from", Value: cells[1],
			Message: fmt.Sprintf("family %s has a configuration for %s and some of these issues already (%s, for issues %s)",
				cells[4], modelText(cells[5:]), in.at(placeText(cells[0])), between(cells[2], cells[3]))}
	},
}

// between returns the words for a range whose ends may be open.
func between(from, to string) string {
	switch {
	case from != "" && to != "":
		return from + " to " + to
	case from != "":
		return "from " + from
	case to != "":
		return "up to " + to
	}
	return "without limits"
}
