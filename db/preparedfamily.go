package db

import (
	"context"

	"standin"
)

// PreparedFamily returns one family made ready for the rules of reading. It is kept
// as long as the catalogue stays at its version. Where there is none it is an error
// (CodeNotFound).
func (db *DB) PreparedFamily(ctx context.Context, name string) (*standin.PreparedFamily, error) {
	now, err := db.askEdition(ctx)
	if err != nil {
		return nil, err
	}
	if f := db.prepared.get(now, name); f != nil {
		return f, nil
	}
	record, read, err := db.familyOf(ctx, name)
	if err != nil {
		return nil, err
	}
	f := standin.PrepareFamily(*record, read.version())
	db.prepared.put(read, name, f)
	return f, nil
}
