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

// load returns one dossier per machine. What models share is read too where not all of
// it is held.
func (db *DB) load(ctx context.Context, q question) ([]*standin.Dossier, error) {
	q.adaptors = db.adaptorStock.isBehind(db.known.last())
	var beside *heldPieces // nil: what models share is not read
	for {
		o, l, err := db.read(ctx, q, beside)
		if err != nil {
			return nil, err
		}
		held := db.shared.at(o.edition)
		from, whole := held, l != nil && beside.edition == o.edition
		if whole {
			from = held.with(l.pieces(o), beside.pieces)
		}
		dossiers, lacks := from.assemble(o, db.adaptorStock.at(o.state))
		switch {
		case lacks == lacksNothing:
			db.keepStock(o, dossiers)
			return dossiers, nil
		case lacks == lacksStock:
			q.adaptors = true // which lacks no stock
		case whole:
			return nil, fmt.Errorf("what the models of %d machines share was read, and is not all there", len(q.machines))
		default:
			beside = &heldPieces{o.edition, held.beside()}
			q.adaptors = q.adaptors || !beside.adapts(o)
		}
	}
}

// heldPieces are pieces of one edition that need not be read.
type heldPieces struct {
	edition edition
	*pieces
}

// adapts reports whether it is held which adaptors may be applied to any of the
// harnesses.
func (p *heldPieces) adapts(o *own) bool {
	for _, h := range o.histories {
		for i := range h.builds {
			id := h.builds[i].layout
			if _, ok := p.usableAdaptors[id]; id != 0 && !ok {
				return false
			}
		}
	}
	return true
}

// read reads what belongs to the models; where beside is not nil, also what they share,
// besides those pieces.
func (db *DB) read(ctx context.Context, q question, beside *heldPieces) (o *own, l *load, err error) {
	err = db.Ask(ctx, func(b *pgx.Batch) {
		o, l = newOwn(), nil
		o.queue(b, q)
		if beside != nil {
			l = newLoad(beside.pieces)
			l.queue(b)
		}
	})
	return o, l, err
}

// keepStock holds the stock of the adaptors of dossiers, where it was read for them.
func (db *DB) keepStock(o *own, dossiers []*standin.Dossier) {
	if o.readsAdaptors {
		db.adaptorStock.keep(o.state, dossiers, o.stock)
	}
}
