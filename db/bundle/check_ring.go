package bundle

import (
	"context"
	"fmt"

	"standin"
	"standin/db/internal/pg"
)

// ring is a check for links that form a circle. Which row closes a circle is found
// in Go: the links are few compared with the rest of a catalogue, and only their
// numbers are kept. links selects the place, the numbers of both ends, and whether
// the link may be walked both ways.
type ring struct {
	file  string
	links string
	cells string // of the row that closes a circle
	say   func(cells []string) standin.Finding
}

var rings = []ring{
	{
		"supersessions",
		numbered("next_supersessions", "ARRAY[old_part]", "ARRAY[new_part]", "coalesce(interchange = 'two-way', false)"),
		"ARRAY[old_part, new_part]",
		func(cells []string) standin.Finding {
			return standin.Finding{Code: standin.Circle, Column: "new_part", Value: cells[1],
				Message: fmt.Sprintf("%s cannot replace %s, because other rows say that %[2]s replaces it in the end", cells[1], cells[0])}
		},
	},
	{
		"twins",
		numbered("next_twins", "ARRAY[brand, model, variant]", "ARRAY[of_brand, of_model, coalesce(of_variant, '')]", "false"),
		"ARRAY[brand, model, variant, of_brand, of_model, coalesce(of_variant, '')]",
		func(cells []string) standin.Finding {
			return standin.Finding{Code: standin.Circle, Column: "of_model", Value: cells[4],
				Message: fmt.Sprintf("%s cannot be a twin of %s, which is itself a twin of it in the end", modelText(cells[:3]), modelText(cells[3:]))}
		},
	},
}

// numbered selects links with numbers for the names of their ends, stored links
// first and then in the order of the bundle.
func numbered(view, from, to, bothWays string) string {
	return fmt.Sprintf(`WITH links AS MATERIALIZED (
			SELECT place, %s AS a, %s AS b, %s AS both_ways FROM %s
		), ends AS MATERIALIZED (
			SELECT name, row_number() OVER () - 1 AS n FROM (SELECT a FROM links UNION SELECT b FROM links) e (name)
		)
		SELECT coalesce(l.place, -1), a.n, b.n, l.both_ways
		FROM links l JOIN ends a ON a.name = l.a JOIN ends b ON b.name = l.b
		ORDER BY l.place NULLS FIRST`, from, to, bothWays, view)
}

// checkRing finds the rows that close a circle.
func (t *importTx) checkRing(ctx context.Context, r ring, limit int) ([]located, int, error) {
	if !t.changes(r.file) {
		return nil, 0, nil
	}
	links, err := t.links(ctx, r)
	if err != nil {
		return nil, 0, err
	}
	var places []int64
	for _, l := range closing(links) {
		if l.place >= 0 {
			places = append(places, l.place)
		}
	}
	if len(places) == 0 {
		return nil, 0, nil
	}
	found, _, err := t.run(ctx, check{
		sql:  fmt.Sprintf("SELECT place, %s AS cells FROM delta_%s WHERE place = ANY($2)", r.cells, r.file),
		args: []any{places},
		say:  func(_ *inspection, cells []string) standin.Finding { return r.say(cells) },
	}, limit)
	return found, len(places), err
}

func (t *importTx) links(ctx context.Context, r ring) ([]link, error) {
	rows, err := t.query(ctx, r.links)
	if err != nil {
		return nil, pg.Translate(err)
	}
	defer rows.Close()
	var links []link
	for rows.Next() {
		var l link
		if err := rows.Scan(&l.place, &l.from, &l.to, &l.bothWays); err != nil {
			return nil, pg.Translate(err)
		}
		links = append(links, l)
	}
	return links, pg.Translate(rows.Err())
}
