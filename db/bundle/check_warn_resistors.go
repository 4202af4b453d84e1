package bundle

import (
	"context"

	"standin"
	"standin/db/internal/pg"
)

// resistorsSQL selects the symbols of every family under review whose boards are
// set by resistors. An empty method is a selector.
const resistorsSQL = `SELECT f.place, s.symbol
	FROM next_families f CROSS JOIN LATERAL unnest(f.selector) WITH ORDINALITY AS s (symbol, nth)
	WHERE f.place IS NOT NULL AND f.method = 'resistor'
	ORDER BY f.place, s.nth`

// warnResistors finds the symbols of families set by resistors that are no value
// that can be read: at the bench no meter could be held against them.
func (in *inspection) warnResistors(ctx context.Context, limit int) ([]located, int, error) {
	rows, err := in.query(ctx, resistorsSQL)
	if err != nil {
		return nil, 0, pg.Translate(err)
	}
	defer rows.Close()
	var found []located
	total := 0
	for rows.Next() {
		var place int64
		var symbol string
		if err := rows.Scan(&place, &symbol); err != nil {
			return nil, 0, pg.Translate(err)
		}
		if _, err := standin.ParseResistor(symbol); err == nil {
			continue
		} else if total++; len(found) < limit {
			found = append(found, located{place: place, finding: standin.Finding{Code: standin.UnreadableResistor,
				Column: "selector", Value: symbol, Message: err.Error()}})
		}
	}
	return found, total, pg.Translate(rows.Err())
}
