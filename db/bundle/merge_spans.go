package bundle

// The span of a build as it holds depends on the builds of its position after it,
// so the spans of all builds of a model that the bundle touches are worked out together,
// from the catalogue as it would be.

// heldBuilds are the builds of next_builds with end, the last day as it holds:
// where none is recorded and a later build begins, the day before that. The
// frame of the window is the next later beginning, whichever builds share it.
// Dated are those of which a day is recorded, not only worked out.
const heldBuilds = `SELECT place, brand, model, variant, position, build, made_from,
		made_from IS NOT NULL OR made_to IS NOT NULL AS dated,
		coalesce(made_to, min(made_from) OVER (
			PARTITION BY ` + eachModel + `, position ORDER BY made_from NULLS FIRST
			GROUPS BETWEEN 1 FOLLOWING AND 1 FOLLOWING) - 1) AS made_to
	FROM next_builds`

const holdSpans = `CREATE TEMPORARY TABLE spans ON COMMIT DROP AS
	SELECT h.brand, h.model, h.variant, h.position, h.build, daterange(h.made_from, h.made_to, '[]') AS made
	FROM (` + heldBuilds + ` n
		WHERE EXISTS (SELECT FROM delta_builds d
			WHERE d.brand = n.brand AND d.model = n.model AND d.variant = n.variant)) h;
	ANALYZE spans`

// A build that is removed has no span.
const joinBuildSpan = ` LEFT JOIN spans h ON h.brand = d.brand AND h.model = d.model AND h.variant = d.variant
	AND h.position = d.position AND h.build = d.build`

// moveSpans gives the builds beside those that changed the spans that now hold.
const moveSpans = `UPDATE builds t SET made = h.made
	FROM spans h JOIN models m ON m.brand = h.brand AND m.model = h.model AND m.variant = h.variant
	WHERE t.model_id = m.id AND t.position = h.position AND t.build = h.build AND t.made <> h.made`
