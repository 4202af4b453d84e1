package bundle

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

// warnLostCircuits finds the adaptors whose ends differ in the circuits they carry
// or in their ways, all plugs of an end taken together. Either is compared only
// where it is recorded for every plug of both ends.
var warnLostCircuits = check{sql: `WITH ends AS MATERIALIZED (
			SELECT layout, CASE WHEN bool_and(ways IS NOT NULL) THEN sum(ways) END AS ways,
				CASE WHEN bool_and(circuits IS NOT NULL) THEN string_agg(array_to_string(circuits, ' '), ' ') END AS pins
			FROM next_layouts
			WHERE layout IN (SELECT unnest(ARRAY[takes, gives]) FROM next_adaptors WHERE place IS NOT NULL)
			GROUP BY layout
		), carried AS MATERIALIZED (
			SELECT layout, ways, CASE WHEN pins IS NOT NULL THEN ARRAY(
				SELECT c FROM unnest(string_to_array(pins, ' ')) c WHERE c <> '` + standin.Unused + `' ORDER BY c COLLATE "C") END AS circuits
			FROM ends
		)
	SELECT a.place, ARRAY[a.part_number, a.takes, a.gives, coalesce(t.ways::text, ''), coalesce(g.ways::text, ''),
			coalesce(array_to_string(t.circuits, ' '), ''), coalesce(array_to_string(g.circuits, ' '), '')] AS cells
	FROM next_adaptors a JOIN carried t ON t.layout = a.takes JOIN carried g ON g.layout = a.gives
	WHERE a.place IS NOT NULL AND (t.ways <> g.ways OR t.circuits <> g.circuits)`,
	say: func(_ *inspection, cells []string) standin.Finding {
		f := standin.Finding{Code: standin.AdaptorLosesCircuits, Column: "gives", Value: cells[2]}
		taken, given := strings.Fields(cells[5]), strings.Fields(cells[6])
		lost, gained := without(taken, given), without(given, taken)
		switch {
		case len(taken) == 0 || len(given) == 0 || len(lost)+len(gained) == 0:
			f.Message = fmt.Sprintf("adaptor %s takes %s ways (%s) and gives %s (%s)", cells[0], cells[3], cells[1], cells[4], cells[2])
		case len(gained) == 0:
			f.Message = fmt.Sprintf("adaptor %s takes %s (%s), but does not give it (%s)", cells[0], strings.Join(lost, ", "), cells[1], cells[2])
		case len(lost) == 0:
			f.Message = fmt.Sprintf("adaptor %s gives %s (%s), but does not take it (%s)", cells[0], strings.Join(gained, ", "), cells[2], cells[1])
		default:
			f.Message = fmt.Sprintf("adaptor %s takes %s (%s), but gives %s in its place (%s)", cells[0],
				strings.Join(lost, ", "), cells[1], strings.Join(gained, ", "), cells[2])
		}
		return f
	},
}

// without returns some with each word of others taken away once, as a multiset
// difference.
func without(some, others []string) []string {
	others = slices.Clone(others)
	var rest []string
	for _, word := range some {
		if i := slices.Index(others, word); i >= 0 {
			others = slices.Delete(others, i, i+1)
		} else {
			rest = append(rest, word)
		}
	}
	return rest
}

// warnSwappable finds the headers of a board that take the same plug as another of
// its headers, as far as ways, pitch and key are recorded, but carry other
// circuits, or circuits that are not recorded. Two headers must have at least one
// recorded attribute in common.
var warnSwappable = check{sql: `WITH headers AS MATERIALIZED (
			SELECT place, layout, connector, ways, pitch_mm, key, circuits FROM next_layouts n
			WHERE layout IN (SELECT layout FROM next_layouts WHERE place IS NOT NULL)
				AND layout IN (SELECT layout FROM next_revisions WHERE layout IS NOT NULL)
		)
	SELECT a.place, ARRAY[a.layout, a.connector, string_agg(b.connector, ', ' ORDER BY b.connector)] AS cells
	FROM headers a JOIN headers b ON b.layout = a.layout AND b.connector <> a.connector
	WHERE a.place IS NOT NULL
		AND coalesce(a.ways = b.ways, true) AND coalesce(a.pitch_mm = b.pitch_mm, true) AND coalesce(a.key = b.key, true)
		AND coalesce(a.ways = b.ways, a.pitch_mm = b.pitch_mm, a.key = b.key, false)
		AND coalesce(a.circuits <> b.circuits, true)
	GROUP BY a.place, a.layout, a.connector`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.SwappablePlugs, Column: "connector", Value: cells[1],
			Message: fmt.Sprintf("header %s of board layout %s takes the same plug as %s, but not for the same circuits as far as is recorded: record the key if they are coded differently",
				cells[1], cells[0], cells[2])}
	},
}
