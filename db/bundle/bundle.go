// Package bundle is where bundles go into the catalogue in PostgreSQL and come
// out again. The way in is stage (stage*.go), check (check*.go), compare
// (diff.go), merge (merge*.go) and commit (import*.go), all in one transaction;
// undo.go takes an
// import back. The ways out are export*.go, audit.go and history*.go.
package bundle

import (
	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db"
)

// Store is where bundles go in and come out. It is safe for concurrent use.
type Store struct {
	catalogue *db.DB
	pool      *pgxpool.Pool
}

var _ standin.Imports = (*Store)(nil)

// NewStore is the store of a catalogue, which it shares the connections with. It
// is of use until the catalogue is closed.
func NewStore(catalogue *db.DB) *Store { return &Store{catalogue, catalogue.Pool()} }
