package bundle

import (
	"fmt"

	"standin"
)

// A board fits the builds that it was made for. Where what is recorded of a build and
// of its factory board says that it does not, one of the two is wrong: a column is in
// another unit, has slipped or was exchanged. Only builds whose factory board is
// recorded down to the revision are looked at. Whatever is under review is at fault,
// the build before the board, and that before what belongs to them.

// factory is each build with the revision of its factory board.
const factory = `next_builds b JOIN next_revisions r ON r.part_number = b.part_number AND r.revision = b.revision`

// factoryCells begins the cells of every warning about a factory board.
const factoryCells = `b.brand, b.model, b.variant, b.build, r.part_number, r.revision`

// factorySentence begins the sentence of every warning about a factory board.
func factorySentence(cells []string) string {
	return fmt.Sprintf("build %s of %s has the factory board %s revision %s, which as recorded does not fit it: ",
		cells[3], modelText(cells), cells[4], cells[5])
}

// ofMisfit are the files that the columns at fault are in.
var ofMisfit = map[string]string{
	"needs": "builds", "layout": "builds", "part_number": "builds", "options": "revisions", "volts": "models", "hertz": "models",
	"volts_min": "revisions", "watts": "loads", "max_amps": "ratings", "connector": "layouts",
}

func misfit(column, value, sentence string) standin.Finding {
	return standin.Finding{Code: standin.FactoryMisfit, File: ofMisfit[column] + ".csv", Column: column, Value: value, Message: sentence}
}

// warnLackingOptions finds the builds that need an option which their factory board
// lacks. One that no board of the family has is another finding.
var warnLackingOptions = check{sql: `WITH had AS MATERIALIZED (
			SELECT o.family, array_agg(DISTINCT option) AS options
			FROM next_boards o JOIN next_revisions r USING (part_number) CROSS JOIN unnest(r.options) option
			WHERE o.family IS NOT NULL GROUP BY o.family
		)
	SELECT coalesce(b.place, r.place) AS place,
		ARRAY[` + factoryCells + `, CASE WHEN b.place IS NULL THEN 'options' ELSE 'needs' END,
			array_to_string(l.options, ' '), array_to_string(r.options, ' ')] AS cells
	FROM ` + factory + ` JOIN next_boards o ON o.part_number = b.part_number LEFT JOIN had ON had.family = o.family
	CROSS JOIN LATERAL (SELECT array_agg(n ORDER BY n) AS options FROM unnest(b.needs) n
		WHERE n <> ALL (r.options) AND (o.family IS NULL OR n = ANY (had.options))) l
	WHERE coalesce(b.place, r.place) IS NOT NULL AND NOT b.needs <@ r.options AND l.options IS NOT NULL`,
	say: func(_ *inspection, cells []string) standin.Finding {
		has := cells[8]
		if has == "" {
			has = "none"
		}
		return misfit(cells[6], cells[7], factorySentence(cells)+"the build needs "+cells[7]+", the board has "+has)
	},
}

// ofPlate joins the lowest and the highest volts of the rating plate of a model m.
const ofPlate = `CROSS JOIN LATERAL (SELECT min(v) AS low, max(v) AS high FROM unnest(string_to_array(translate(m.volts, '-', '/'), '/')::double precision[]) v) plate`

// warnOtherSupply finds the models whose factory board is for none of their volts, or
// none of their hertz.
var warnOtherSupply = check{sql: `SELECT coalesce(m.place, r.place, b.place) AS place,
		ARRAY[` + factoryCells + `, CASE WHEN plate.high < r.volts_min OR plate.low > r.volts_max THEN 'volts' ELSE 'hertz' END, m.place IS NULL AND r.place IS NOT NULL,
			coalesce(m.volts, ''), coalesce(r.volts_min::text, ''), coalesce(r.volts_max::text, ''),
			coalesce(array_to_string(m.hertz, '/'), ''), coalesce(array_to_string(r.hertz, ' '), '')]::text[] AS cells
	FROM ` + factory + ` JOIN next_models m ON ` + sameModel("m", "b") + ` ` + ofPlate + `
	WHERE coalesce(m.place, r.place, b.place) IS NOT NULL
		AND (plate.high < r.volts_min OR plate.low > r.volts_max OR NOT m.hertz && r.hertz)`,
	say: func(_ *inspection, cells []string) standin.Finding {
		column, sentence := cells[6], fmt.Sprintf("the model is for %s Hz, the board for %s Hz", cells[11], cells[12])
		value := cells[11]
		if column == "volts" {
			value, sentence = cells[8], fmt.Sprintf("the model is for %s V, the board for %s V", cells[8], between(cells[9], cells[10]))
			if cells[7] == "true" {
				column, value = "volts_min", cells[9]
			}
		}
		return misfit(column, value, factorySentence(cells)+sentence)
	},
}

// overload is how many times its rating a load must draw to be warned of. Makers go to
// the limit of a relay and a little beyond; nobody goes far beyond.
const overload = "1.5"

// warnOverloaded finds the loads of a build that draw far more than its factory board
// may switch, by the least that they may draw. The planner expects a row where builds
// and boards are thousands, and looks at every load for each: so first those are left
// out that no board's rating of the circuit is too low for, on no plate and then on
// their own.
var warnOverloaded = check{sql: `WITH least AS MATERIALIZED (
			SELECT circuit, min(max_amps) AS rated FROM next_ratings GROUP BY circuit
		), lowest AS MATERIALIZED (
			SELECT min(plate.high) AS volts FROM (SELECT DISTINCT volts FROM next_models) m ` + ofPlate + `
		), heavy AS MATERIALIZED (
			SELECT l.*, least.rated
			FROM next_loads l JOIN least ON least.circuit = l.circuit
			WHERE coalesce(l.amps, l.watts / coalesce(l.volts, (SELECT volts FROM lowest)) / coalesce(l.power_factor, 1)) > least.rated * ` + overload + `
		), drawn AS MATERIALIZED (
			SELECT d.*
			FROM (SELECT l.place, l.brand, l.model, l.variant, l.position, l.build, l.circuit, l.watts, l.rated,
					CASE WHEN l.amps IS NOT NULL THEN l.amps ELSE l.watts / coalesce(l.volts, plate.high)
						/ CASE WHEN l.element = 'motor' THEN coalesce(l.power_factor, 1) ELSE 1 END END AS amps
				FROM heavy l JOIN next_models m ON ` + sameModel("m", "l") + ` ` + ofPlate + `) d
			WHERE d.amps > d.rated * ` + overload + `
		)
	SELECT coalesce(d.place, t.place, b.place, r.place) AS place,
		ARRAY[` + factoryCells + `, CASE WHEN d.place IS NOT NULL THEN 'watts' WHEN t.place IS NOT NULL THEN 'max_amps' ELSE 'part_number' END,
			d.circuit, round(d.amps::numeric, 2)::text, t.max_amps::text, coalesce(d.watts::text, '')] AS cells
	FROM ` + factory + `
	JOIN next_ratings t ON t.part_number = r.part_number AND t.revision = r.revision
	JOIN drawn d ON ` + sameModel("d", "b") + ` AND d.position = b.position AND d.build IN ('', b.build) AND d.circuit = t.circuit
	LEFT JOIN next_loads own ON ` + sameModel("own", "b") + ` AND own.position = b.position AND own.build = b.build AND own.circuit = d.circuit
	WHERE coalesce(d.place, t.place, b.place, r.place) IS NOT NULL AND d.amps > t.max_amps * ` + overload + `
		AND (d.build <> '' OR own.circuit IS NULL)`,
	say: func(_ *inspection, cells []string) standin.Finding {
		value := map[string]string{"watts": cells[10], "max_amps": cells[9], "part_number": cells[4]}[cells[6]]
		return misfit(cells[6], value, factorySentence(cells)+fmt.Sprintf("%s draws %s A, the board is rated %s A", cells[7], cells[8], cells[9]))
	},
}

// warnNoHeader finds the harnesses with a plug for which the factory board has no
// header. Each pair of harness and board is looked at once, and reported for one build.
var warnNoHeader = check{sql: `WITH pairs AS MATERIALIZED (
			SELECT DISTINCT ON (b.layout, r.layout) b.layout AS harness, r.layout AS board, b.place AS build_place, r.place AS revision_place, ` + factoryCells + `
			FROM ` + factory + ` WHERE b.layout IS NOT NULL AND r.layout IS NOT NULL
			ORDER BY b.layout, r.layout, b.place, r.place
		), seen AS MATERIALIZED (
			SELECT p.*, coalesce(build_place, revision_place, (SELECT min(place) FROM next_layouts WHERE layout IN (p.harness, p.board))) AS place
			FROM pairs p
		)
	SELECT s.place, ARRAY[s.brand, s.model, s.variant, s.build, s.part_number, s.revision,
			CASE WHEN coalesce(s.build_place, s.revision_place) IS NULL THEN 'connector' ELSE 'layout' END, s.harness, s.board, min(g.connector)] AS cells
	FROM seen s JOIN next_layouts g ON g.layout = s.harness
	WHERE s.place IS NOT NULL AND NOT EXISTS (SELECT FROM next_layouts h WHERE h.layout = s.board
		AND coalesce(g.ways = h.ways, true) AND coalesce(g.pitch_mm = h.pitch_mm, true) AND coalesce(g.key = h.key, true)
		AND (g.circuits IS NULL OR h.circuits IS NULL OR NOT EXISTS (
			SELECT FROM unnest(g.circuits) WITH ORDINALITY AS c (circuit, pin) WHERE circuit <> '` + standin.Unused + `' AND h.circuits[pin] IS DISTINCT FROM circuit)))
	GROUP BY s.place, s.brand, s.model, s.variant, s.build, s.part_number, s.revision, s.build_place, s.revision_place, s.harness, s.board`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return misfit(cells[6], cells[7], factorySentence(cells)+fmt.Sprintf("plug %s of its harness %s has no header on the board (%s)", cells[9], cells[7], cells[8]))
	},
}
