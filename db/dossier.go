package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

// A dossier has two parts: what belongs to one model, which is read for every
// question in one round trip, and what models share (families, boards, layouts, …),
// which is held in memory as long as the catalogue stays at its version
// (shared.go). Where some of that is not held, both are read in a second round trip.
//
// The statements are a batch, for one machine or a thousand. A statement that
// finds keys keeps them, as arrays, in settings of the transaction
// (standin.models, standin.boards …), where the statements after it find them.
// This has three merits: the statements stay small; it works on a read-only
// standby, where a temporary table would not; and the planner, which cannot see
// into ((SELECT current_setting(…))::bigint[]), expects a few keys and uses the
// indexes, so that the cost of a dossier does not depend on the size of the
// catalogue. For the same reason names are looked up by subselects, which it
// cannot turn into a join that reads a whole table, and parameters are written as
// (SELECT $1), so that it does not plan anew for every value.

// One snapshot for all statements, or an import committed half-way between them
// would show half.
const (
	beginDossiersSQL  = `BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY`
	commitDossiersSQL = `COMMIT`
)

// Dossiers loads the dossier of each machine's model, in the order asked.
func (db *DB) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	if len(machines) == 0 {
		return nil, nil
	}
	return db.load(ctx, machines, make([]int64, len(machines)))
}

// DossierOf loads the dossier of one model by its id. Where there is none it is an
// error (CodeNotFound).
func (db *DB) DossierOf(ctx context.Context, id int64) (*standin.Dossier, error) {
	dossiers, err := db.load(ctx, make([]standin.Machine, 1), []int64{id})
	if err != nil {
		return nil, err
	}
	if dossiers[0] == nil {
		return nil, &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("there is no model with id %d", id), Field: "id"}
	}
	return dossiers[0], nil
}

// load returns one dossier per machine, by the id of its model where that is not 0,
// else by its key.
func (db *DB) load(ctx context.Context, machines []standin.Machine, ids []int64) ([]*standin.Dossier, error) {
	var o *own
	err := db.Ask(ctx, func(b *pgx.Batch) {
		o = newOwn()
		o.queue(b, machines, ids)
	})
	if err != nil {
		return nil, err
	}
	if dossiers, ok := db.shared.at(o.edition).assemble(o); ok {
		return dossiers, nil
	}
	return db.loadAll(ctx, machines, ids)
}

// loadAll reads both what belongs to the models and what they share, and holds the
// latter.
func (db *DB) loadAll(ctx context.Context, machines []standin.Machine, ids []int64) ([]*standin.Dossier, error) {
	var o *own
	var l *load
	err := db.Ask(ctx, func(b *pgx.Batch) {
		o, l = newOwn(), newLoad()
		l.held = func() *shelf { return db.shared.at(o.edition) }
		o.queue(b, machines, ids)
		l.queue(b)
	})
	if err != nil {
		return nil, err
	}
	read := l.pieces(o)
	all := &shelf{lately: read, before: &pieces{}}
	if held := db.shared.at(o.edition); held != nil {
		held.keep(read)
		all.seatings = held.seatings
	}
	dossiers, _ := all.assemble(o)
	return dossiers, nil
}
