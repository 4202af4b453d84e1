package bundle

import (
	"context"
	"fmt"
	"strings"

	"standin"
)

// A symbol that one code alone has at a place is odd only where there are enough
// other codes, and they have each of their symbols there several times: then nearly
// all that are used there have been seen.
const unusedSymbolsSQL = `WITH used AS (
		SELECT c.family, s.place_in_code, s.symbol, count(*) AS many, min(c.place) AS place
		FROM next_configurations c CROSS JOIN LATERAL unnest(c.code) WITH ORDINALITY AS s (symbol, place_in_code)
		GROUP BY c.family, s.place_in_code, s.symbol
	), places AS (
		SELECT family, place_in_code, sum(many) AS codes, count(*) FILTER (WHERE many = 1) AS alone,
			coalesce(min(many) FILTER (WHERE many > 1), 0) AS least, string_agg(symbol, ' ' ORDER BY symbol) FILTER (WHERE many > 1) AS symbols
		FROM used GROUP BY family, place_in_code
	)
	SELECT u.place, ARRAY[u.family, u.place_in_code::text, u.symbol, p.symbols, (p.codes - 1)::text] AS cells
	FROM used u JOIN places p USING (family, place_in_code)
	WHERE u.many = 1 AND u.place IS NOT NULL AND p.codes >= 16 AND p.alone = 1 AND p.least >= 3`

var unusedSymbols = check{sql: unusedSymbolsSQL, say: func(_ *inspection, cells []string) standin.Finding {
	return standin.Finding{Code: standin.UnusedSymbol, Column: "code", Value: cells[2],
		Message: fmt.Sprintf("no other code of family %s has %s at place %s; the other %s have one of %s there",
			cells[0], cells[2], cells[1], cells[4], strings.Join(strings.Fields(cells[3]), ", "))}
}}

// warnUnusedSymbols finds the codes with a symbol that no other code of the family
// has at its place.
func (in *inspection) warnUnusedSymbols(ctx context.Context, limit int) ([]located, int, error) {
	return in.run(ctx, unusedSymbols, limit)
}
