// Package bundle imports bundles into the catalogue in PostgreSQL and exports them
// again. An import stages (stage*.go), checks (check*.go), compares (diff.go),
// merges (merge*.go) and commits (import*.go), all in one transaction; undo.go
// undoes one. What is stored is read by export*.go, audit.go and history*.go.
package bundle

import (
	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db"
)

// Store imports and exports bundles. It is safe for concurrent use.
type Store struct {
	catalogue *db.DB
	pool      *pgxpool.Pool
}

var _ standin.Imports = (*Store)(nil)

// NewStore returns the store of a catalogue, whose connections it shares. It can be
// used until the catalogue is closed.
func NewStore(catalogue *db.DB) *Store { return &Store{catalogue, catalogue.Pool()} }
