package db

import (
	"context"

	"standin"
)

// PreparedFamily returns one family made ready for the rules of reading. It is kept
// as long as the catalogue stays at its version. Where there is none it is an error
// (CodeNotFound).
func (db *DB) PreparedFamily(ctx context.Context, name string) (*standin.PreparedFamily, error) {
	state, _, err := db.askState(ctx)
	if err != nil {
		return nil, err
	}
	if f := db.prepared.get(state.Catalogue, name); f != nil {
		return f, nil
	}
	record, version, err := db.familyOf(ctx, name)
	if err != nil {
		return nil, err
	}
	f := standin.PrepareFamily(*record, version)
	db.prepared.put(name, f)
	return f, nil
}
