package bundle

// A configuration or a preset names a build by its label, which stands for the
// builds of all positions that have it. What is stored refers to one of these, the
// first by position: keepLabels sees to it, so that the same row is found again
// whatever builds come and go beside it.

// labelled are the builds that a label refers to.
const labelled = `SELECT DISTINCT ON (model_id, build) model_id, build, id FROM builds ORDER BY model_id, build, position`

// staying is the condition that a build t is not to be removed.
const staying = `NOT EXISTS (SELECT FROM delta_builds d JOIN models m ON m.brand = d.brand AND m.model = d.model AND m.variant = d.variant
	WHERE d.op = 'removed' AND m.id = t.model_id AND d.position = t.position AND d.build = t.build)`

// keepLabels moves what refers to a build of a touched model to the first with
// its label of those for which a condition holds, where there is one.
func keepLabels(which string) string {
	move := func(table string) string {
		return `UPDATE ` + table + ` x SET build_id = first.id
			FROM builds now, (SELECT DISTINCT ON (t.model_id, t.build) t.model_id, t.build, t.id
				FROM builds t
				WHERE t.model_id IN (SELECT m.id FROM models m JOIN delta_builds USING (brand, model, variant)) AND ` + which + `
				ORDER BY t.model_id, t.build, t.position) first
			WHERE x.model_id = first.model_id AND x.build_id = now.id AND first.model_id = now.model_id AND first.build = now.build AND first.id <> now.id`
	}
	return move("configurations") + ";" + move("presets")
}

const removeBuilds = `DELETE FROM builds t USING delta_builds d JOIN models m
	ON m.brand = d.brand AND m.model = d.model AND m.variant = d.variant
	WHERE d.op = 'removed' AND t.model_id = m.id AND t.position = d.position AND t.build = d.build`
