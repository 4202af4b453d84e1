package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

// How many of the values there are, by what they are. Each of them counts once.
const (
	knownBrandsSQL    = `SELECT count(DISTINCT brand) FROM models WHERE brand = ANY($1)`
	knownModelsSQL    = `SELECT count(DISTINCT model) FROM models WHERE model = ANY($1)`
	knownVariantsSQL  = `SELECT count(DISTINCT variant) FROM models WHERE variant = ANY($1) AND variant <> ''`
	knownKindsSQL     = `SELECT count(DISTINCT kind) FROM models WHERE kind = ANY($1)`
	knownPartsSQL     = `SELECT count(DISTINCT part_number) FROM parts WHERE part_number = ANY($1)`
	knownMarkingsSQL  = `SELECT count(DISTINCT marking) FROM markings WHERE marking = ANY($1)`
	knownFamiliesSQL  = `SELECT count(DISTINCT family) FROM families WHERE family = ANY($1)`
	knownCircuitsSQL  = `SELECT count(DISTINCT circuit) FROM loads WHERE circuit = ANY($1)`
	knownLayoutsSQL   = `SELECT count(DISTINCT layout) FROM layouts WHERE layout = ANY($1)`
	knownLocationsSQL = `SELECT count(DISTINCT location) FROM stock WHERE location = ANY($1)`
	knownSourcesSQL   = `SELECT count(DISTINCT source) FROM sources WHERE source = ANY($1)`
)

// knownStatements are these, by the column of a bundle that they are about.
var knownStatements = map[string]string{
	"models.brand": knownBrandsSQL, "models.model": knownModelsSQL, "models.variant": knownVariantsSQL, "models.kind": knownKindsSQL,
	"boards.part_number": knownPartsSQL, "markings.marking": knownMarkingsSQL, "families.family": knownFamiliesSQL,
	"loads.circuit": knownCircuitsSQL, "layouts.layout": knownLayoutsSQL, "stock.location": knownLocationsSQL, "sources.source": knownSourcesSQL,
}

// Known returns how many of the values the catalogue has in a column of a file of a bundle.
// A column of which it does not keep count has none.
func (db *DB) Known(ctx context.Context, file, column string, values []string) (int, error) {
	statement, ok := knownStatements[file+"."+column]
	if !ok {
		return 0, nil
	}
	var n int
	err := db.Ask(ctx, func(b *pgx.Batch) {
		b.Queue(statement, values).QueryRow(func(row pgx.Row) error { return row.Scan(&n) })
	})
	if err != nil {
		return 0, fmt.Errorf("values of %s in %s: %w", column, file, err)
	}
	return n, nil
}

// familiesOfSQL keeps families without symbols out: any code would be theirs.
const familiesOfSQL = `
SELECT family, selector, code_length, readback
FROM families
WHERE selector @> $1 AND code_length = $2 AND cardinality(selector) > 0
ORDER BY family
LIMIT 10`

// Families returns families, at most ten, whose selectors have all of the symbols and
// whose codes have that length: their names, symbols and read-back points.
func (db *DB) Families(ctx context.Context, symbols []string, length int) ([]standin.Family, error) {
	return listed(ctx, db, func(row pgx.CollectableRow) (standin.Family, error) {
		var f standin.Family
		err := row.Scan(&f.Name, &f.Selector, &f.CodeLength, &f.Readback)
		return f, err
	}, familiesOfSQL, symbols, length)
}
