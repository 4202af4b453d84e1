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
// (shared.go), the stock of adaptors as long as nothing changes (adaptorstock.go).
// Where some of that is not held, it is read with the former in another round trip.
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
	return db.load(ctx, question{machines: machines, ids: make([]int64, len(machines))})
}

// question is what dossiers are loaded for: machines, each by the id of its model where
// that is not 0, else by its key.
type question struct {
	machines []standin.Machine
	ids      []int64
	adaptors bool // read their stock, too
}

// DossierOf loads the dossier of one model by its id. Where there is none it is an
// error (CodeNotFound).
func (db *DB) DossierOf(ctx context.Context, id int64) (*standin.Dossier, error) {
	dossiers, err := db.load(ctx, question{machines: make([]standin.Machine, 1), ids: []int64{id}})
	if err != nil {
		return nil, err
	}
	if dossiers[0] == nil {
		return nil, &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("there is no model with id %d", id), Field: "id"}
	}
	return dossiers[0], nil
}

// load returns one dossier per machine.
func (db *DB) load(ctx context.Context, q question) ([]*standin.Dossier, error) {
	q.adaptors = db.adaptorStock.isBehind(db.known.last())
	for {
		var o *own
		err := db.Ask(ctx, func(b *pgx.Batch) {
			o = newOwn()
			o.queue(b, q)
		})
		if err != nil {
			return nil, err
		}
		dossiers, lacks := db.shared.at(o.edition).assemble(o, db.adaptorStock.at(o.state))
		switch lacks {
		case lacksNothing:
			db.keepStock(o, dossiers)
			return dossiers, nil
		case lacksShared:
			return db.loadAll(ctx, q)
		}
		q.adaptors = true // which lacks no stock
	}
}

// keepStock holds the stock of the adaptors of dossiers, where it was read for them.
func (db *DB) keepStock(o *own, dossiers []*standin.Dossier) {
	if o.readsAdaptors {
		db.adaptorStock.keep(o.state, dossiers, o.stock)
	}
}

// loadAll reads what belongs to the models, what they share and the stock of the
// adaptors, and holds the latter two.
func (db *DB) loadAll(ctx context.Context, q question) ([]*standin.Dossier, error) {
	var o *own
	var l *load
	q.adaptors = true
	err := db.Ask(ctx, func(b *pgx.Batch) {
		o, l = newOwn(), newLoad()
		l.held = func() *shelf { return db.shared.at(o.edition) }
		o.queue(b, q)
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
	dossiers, _ := all.assemble(o, nil)
	db.keepStock(o, dossiers)
	return dossiers, nil
}
