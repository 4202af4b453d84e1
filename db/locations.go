package db

import (
	"context"
	"sync/atomic"

	"github.com/jackc/pgx/v5"

	"standin"
)

const locationsSQL = `SELECT DISTINCT location FROM stock ORDER BY location`

// locations holds the places of stock as of one state: every page names them.
type locations struct {
	held atomic.Pointer[locationsAsOf] // nil: nothing is held
}

type locationsAsOf struct {
	state standin.State
	names []string
}

// Locations are the names of all places that stock is recorded of, in order. They are
// as of a state that may be as old as State's.
func (db *DB) Locations(ctx context.Context) ([]string, error) {
	state, err := db.State(ctx)
	if err != nil {
		return nil, err
	}
	if held := db.locations.held.Load(); held != nil && held.state == state {
		return held.names, nil
	}
	names, err := Rows(ctx, db, pgx.RowTo[string], locationsSQL)
	if err != nil {
		return nil, err
	}
	db.locations.held.Store(&locationsAsOf{state, names})
	return names, nil
}
