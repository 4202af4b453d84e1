package shop

import (
	"context"
	"fmt"
	"standin/db/internal/pg"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
	"standin/db"
)

const holdColumns = `id, location, part_number, revision, condition, quantity, until, held_for, reference, by, created, state, ended,
	clock_timestamp()`

const (
	addHoldSQL = `INSERT INTO holds (id, location, part_number, revision, condition, quantity, until, held_for, reference, by, created)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`
	holdSQL      = `SELECT ` + holdColumns + ` FROM holds WHERE id = $1`
	lockHoldSQL  = holdSQL + ` FOR UPDATE`
	renewHoldSQL = `UPDATE holds SET until = $2 WHERE id = $1`
	endHoldSQL   = `UPDATE holds SET state = $2, ended = $3 WHERE id = $1`
	listHoldsSQL = `SELECT ` + holdColumns + ` FROM holds
		WHERE ($1 = '' OR location = $1) AND ($2 = '' OR part_number = $2) AND id > $4
			AND CASE $3 WHEN '' THEN true WHEN 'held' THEN state = 'held' AND until > now()
				WHEN 'expired' THEN state = 'held' AND until <= now() ELSE state = $3 END
		ORDER BY id LIMIT $5`
	freeSQL = `SELECT ` + recordColumns + recordsFrom + `
		WHERE p.part_number = $1 AND s.quantity > 0 ORDER BY s.location, coalesce(r.revision, ''), s.condition LIMIT 200`
)

// Hold keeps stock for someone. Where not so many pieces are free it is an error
// (CodeNotFree) with what else is free of the part.
func (s *Store) Hold(ctx context.Context, wanted standin.NewHold, once standin.Once) (made standin.Hold, err error) {
	if err := wanted.Check(); err != nil {
		return made, err
	}
	err = s.onceInTx(ctx, once, wanted.By, &made, func(ctx context.Context, w *work) error {
		got, id, at, err := w.lock(ctx, numberHolds, lineWanted{wanted.StockKey, false})
		if err != nil {
			return err
		}
		if err := standin.CheckUntil(wanted.Until, at); err != nil {
			return err
		}
		if !got[0].there {
			if err := w.known(ctx, wanted.StockKey); err != nil {
				return err
			}
		}
		if got[0].Free() < wanted.Quantity {
			return w.elsewhere(ctx, got[0].StockRecord, wanted.Quantity)
		}
		made = standin.Hold{ID: id, NewHold: wanted, Created: at, State: standin.HoldHeld}
		made.Until = made.Until.UTC().Truncate(time.Microsecond) // as it is stored
		w.last.Queue(addHoldSQL, id, made.Location, made.PartNumber, made.Revision, made.Condition, made.Quantity, made.Until,
			made.For, made.Reference, made.By, made.Created)
		w.changed("holds", holdKeyJSON{id}, nil, holdJSONOf(made))
		return nil
	})
	return made, err
}

// known returns an error for a part or revision that is not in the catalogue. For a
// line that does not exist it returns nil: such a line has nothing free, which is
// another error.
func (w *work) known(ctx context.Context, key standin.StockKey) error {
	if err := w.unknown(ctx, key); standin.CodeOf(err) != standin.CodeNotFound || fieldOf(err) != "location" {
		return err
	}
	return nil
}

// elsewhere returns why a line cannot be held, with what else is free of its part.
func (w *work) elsewhere(ctx context.Context, line standin.StockRecord, wanted int) error {
	why := standin.NotFree(line, wanted)
	rows, err := w.tx.Query(ctx, freeSQL, line.PartNumber)
	if err != nil {
		return err
	}
	records, err := pgx.CollectRows(rows, scanRecord)
	if err != nil {
		return err
	}
	for _, r := range records {
		if r.Free() > 0 && r.StockKey != line.StockKey {
			why.Stock = append(why.Stock, r)
		}
	}
	return why
}

// HoldOf returns one hold. Where there is none it is an error (CodeNotFound).
func (s *Store) HoldOf(ctx context.Context, id int64) (standin.Hold, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	h, err := readHold(ctx, s.pool, holdSQL, id)
	return h, pg.Translate(err)
}

// ListHolds returns at most limit holds that match a filter, in the order in which
// they were made, those after a number.
func (s *Store) ListHolds(ctx context.Context, filter standin.HoldFilter, after int64, limit int) ([]standin.Hold, error) {
	return db.Rows(ctx, s.db, scanHold, listHoldsSQL, filter.Location, filter.PartNumber, string(filter.State), after, limit)
}

// RenewHold sets the time at which a hold ends.
func (s *Store) RenewHold(ctx context.Context, id int64, until time.Time, by string) (h standin.Hold, err error) {
	err = s.withHold(ctx, id, by, func(w *work, now locked, held standin.Hold, _ int64, at time.Time) error {
		if held.State != standin.HoldHeld {
			return held.NotHeld()
		}
		if err := standin.CheckUntil(until, at); err != nil {
			return err
		}
		h = held
		h.Until = until.UTC().Truncate(time.Microsecond)
		w.last.Queue(renewHoldSQL, id, h.Until)
		w.changed("holds", holdKeyJSON{id}, holdJSONOf(held), holdJSONOf(h))
		return nil
	})
	return h, err
}

// ReleaseHold ends a hold. One that has ended otherwise stays as it is, and one that
// was taken is an error.
func (s *Store) ReleaseHold(ctx context.Context, id int64, by string) (h standin.Hold, err error) {
	err = s.withHold(ctx, id, by, func(w *work, _ locked, held standin.Hold, _ int64, at time.Time) error {
		switch h = held; held.State {
		case standin.HoldTaken:
			return held.NotHeld()
		case standin.HoldHeld:
			h = w.endHold(held, standin.HoldReleased, at)
		}
		return nil
	})
	return h, err
}

// TakeHold sells the pieces that a hold keeps, and ends it.
func (s *Store) TakeHold(ctx context.Context, take standin.TakenHold, once standin.Once) (standin.Hold, standin.Move, error) {
	var made struct {
		Hold standin.Hold
		Move standin.Move
	}
	do := func(w *work, line locked, held standin.Hold, number int64, at time.Time) error {
		if held.State != standin.HoldHeld {
			return held.NotHeld()
		}
		// The pieces of this hold are free for this sale.
		line.Held = max(0, line.Held-held.Quantity)
		sale := standin.NewMove{
			StockKey: held.StockKey, Kind: standin.MoveSold, Quantity: held.Quantity,
			By: take.By, Reason: take.Reason, Reference: take.Reference,
		}
		if sale.Reference == "" {
			sale.Reference = held.Reference
		}
		if line.Quantity < held.Quantity {
			return standin.NotFree(line.StockRecord, held.Quantity)
		}
		made.Hold = w.endHold(held, standin.HoldTaken, at)
		made.Move = standin.Move{ID: number, At: at, NewMove: sale, Before: line.Quantity, After: line.Quantity - held.Quantity, Hold: held.ID}
		w.write(line, made.Move.After)
		w.keepMove(made.Move)
		return nil
	}
	err := s.onceInTx(ctx, once, take.By, &made, func(ctx context.Context, w *work) error {
		return w.withHold(ctx, take.ID, do)
	})
	return made.Hold, made.Move, err
}

// endHold queues the end of a hold.
func (w *work) endHold(held standin.Hold, state standin.HoldState, at time.Time) standin.Hold {
	ended := held
	ended.State, ended.Ended = state, at
	w.last.Queue(endHoldSQL, held.ID, string(state), at)
	w.changed("holds", holdKeyJSON{held.ID}, holdJSONOf(held), holdJSONOf(ended))
	return ended
}

// onHold changes a hold. The hold and its line are locked; number is for a move.
type onHold func(w *work, line locked, held standin.Hold, number int64, at time.Time) error

func (s *Store) withHold(ctx context.Context, id int64, by string, do onHold) error {
	return s.inTx(ctx, by, func(ctx context.Context, w *work) error { return w.withHold(ctx, id, do) })
}

// withHold locks the line before the hold, in the same order as everything else that
// gives out stock, which counts the holds under that lock.
func (w *work) withHold(ctx context.Context, id int64, do onHold) error {
	h, err := readHold(ctx, w.tx, holdSQL, id)
	if err != nil {
		return err
	}
	got, number, at, err := w.lock(ctx, numberMoves, lineWanted{h.StockKey, false})
	if err != nil {
		return err
	}
	if h, err = readHold(ctx, w.tx, lockHoldSQL, id); err != nil {
		return err
	}
	return do(w, got[0], h, number, at)
}

// querier runs a query: the pool or a transaction.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
}

func readHold(ctx context.Context, from querier, sql string, id int64) (standin.Hold, error) {
	rows, err := from.Query(ctx, sql, id)
	if err != nil {
		return standin.Hold{}, err
	}
	h, err := pgx.CollectExactlyOneRow(rows, scanHold)
	if pg.IsNoRows(err) {
		return h, refuse(standin.CodeNotFound, "id", fmt.Sprintf("there is no hold %d", id))
	}
	return h, err
}

func scanHold(row pgx.CollectableRow) (h standin.Hold, err error) {
	var ended pgtype.Timestamptz
	var now time.Time
	err = row.Scan(&h.ID, &h.Location, &h.PartNumber, &h.Revision, &h.Condition, &h.Quantity, &h.Until, &h.For, &h.Reference, &h.By,
		&h.Created, &h.State, &ended, &now)
	h.Until, h.Created, h.Ended = h.Until.UTC(), h.Created.UTC(), timeOf(ended)
	h.State = h.StateAt(now)
	return h, err
}

type holdKeyJSON struct {
	Hold int64 `json:"hold"`
}

// holdJSON is a hold as the feed has it.
type holdJSON struct {
	Hold int64 `json:"hold"`
	keyJSON
	Quantity  int        `json:"quantity"`
	Until     time.Time  `json:"until"`
	For       string     `json:"for"`
	Reference string     `json:"reference"`
	By        string     `json:"by"`
	Created   time.Time  `json:"created"`
	State     string     `json:"state"`
	Ended     *time.Time `json:"ended"`
}

func holdJSONOf(h standin.Hold) holdJSON {
	encoded := holdJSON{h.ID, keyJSONOf(h.StockKey), h.Quantity, h.Until, h.For, h.Reference, h.By, h.Created, string(h.State), nil}
	if !h.Ended.IsZero() {
		encoded.Ended = &h.Ended
	}
	return encoded
}
