package shop

import (
	"context"
	"fmt"
	"standin/db/internal/pg"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db"
)

const (
	listStockSQL = `SELECT ` + recordColumns + recordsFrom + `
		WHERE ($1 = '' OR s.location = $1) AND ($2 = '' OR s.part_id = (SELECT id FROM parts WHERE part_number = $2))
			AND (s.location, p.part_number, coalesce(r.revision, ''), s.condition) > ($3::text, $4::text, $5::text, $6::text)
		ORDER BY s.location, p.part_number, coalesce(r.revision, ''), s.condition
		LIMIT $7`
	moveColumns = `id, at, by, kind, location, part_number, revision, condition, quantity, before, after,
		to_location, to_before, to_after, hold_id, reason, reference`
	addMoveSQL = `INSERT INTO stock_moves (` + moveColumns + `)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`
	listMovesSQL = `SELECT id, at, by, kind, location, part_number, revision, condition, quantity, before, after,
			to_location, to_before, to_after, coalesce(hold_id, 0), reason, reference
		FROM stock_moves
		WHERE ($1 = '' OR location = $1 OR to_location = $1) AND ($2 = '' OR part_number = $2) AND id > $3
		ORDER BY id LIMIT $4`
)

// ListStock returns at most limit lines that match a filter, in the order of their
// keys, those after a key.
func (s *Store) ListStock(ctx context.Context, filter standin.StockFilter, after standin.StockKey, limit int) ([]standin.StockRecord, error) {
	return db.Rows(ctx, s.db, scanRecord, listStockSQL, filter.Location, filter.PartNumber,
		after.Location, after.PartNumber, after.Revision, after.Condition, limit)
}

// StockOf returns one line. Where there is none it is an error (CodeNotFound).
func (s *Store) StockOf(ctx context.Context, key standin.StockKey) (standin.StockRecord, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	rows, err := s.pool.Query(ctx, lineSQL, key.Location, key.PartNumber, key.Revision, key.Condition)
	if err != nil {
		return standin.StockRecord{}, pg.Translate(err)
	}
	record, err := pgx.CollectExactlyOneRow(rows, scanRecord)
	if pg.IsNoRows(err) {
		return record, refuse(standin.CodeNotFound, "part_number", fmt.Sprintf("there is no stock line %s", key))
	}
	return record, pg.Translate(err)
}

// MoveStock makes a move and records it. Where not so many pieces are free it is an
// error (CodeNotFree).
func (s *Store) MoveStock(ctx context.Context, wanted standin.NewMove, once standin.Once) (made standin.Move, err error) {
	if err := wanted.Check(); err != nil {
		return made, err
	}
	err = s.onceInTx(ctx, once, wanted.By, &made, func(ctx context.Context, w *work) error {
		made, err = w.move(ctx, wanted)
		return err
	})
	return made, err
}

// move makes a move as part of a transaction.
func (w *work) move(ctx context.Context, wanted standin.NewMove) (standin.Move, error) {
	leaves := wanted.Kind == standin.MoveSold || wanted.Kind == standin.MoveMoved
	lines := []lineWanted{{wanted.StockKey, !leaves}}
	if wanted.Kind == standin.MoveMoved {
		lines = append(lines, lineWanted{wanted.Arrival(), true})
		if wanted.To < wanted.Location { // locked in the order of keys, by everyone
			lines[0], lines[1] = lines[1], lines[0]
		}
	}
	got, id, at, err := w.lock(ctx, numberMoves, lines...)
	if err != nil {
		return standin.Move{}, err
	}
	if len(got) == 2 && got[0].Location != wanted.Location {
		got[0], got[1] = got[1], got[0]
	}
	if !got[0].there {
		if err := w.known(ctx, wanted.StockKey); err != nil {
			return standin.Move{}, err
		}
	}
	made := standin.Move{ID: id, At: at, NewMove: wanted, Before: got[0].Quantity}
	if made.After, err = wanted.After(got[0].StockRecord); err != nil {
		return made, err
	}
	w.write(got[0], made.After)
	if len(got) == 2 {
		arrival := wanted
		arrival.Kind = standin.MoveReceived
		made.ToBefore = got[1].Quantity
		if made.ToAfter, err = arrival.After(got[1].StockRecord); err != nil {
			return made, err
		}
		w.write(got[1], made.ToAfter)
	}
	w.keepMove(made)
	return made, nil
}

// keepMove queues the record of a move.
func (w *work) keepMove(m standin.Move) {
	w.last.Queue(addMoveSQL, m.ID, m.At, m.By, string(m.Kind), m.Location, m.PartNumber, m.Revision, m.Condition, m.Quantity,
		m.Before, m.After, m.To, m.ToBefore, m.ToAfter, maybeID(m.Hold), m.Reason, m.Reference)
}

// PutStock sets how many pieces a line has, and reports whether it created the line.
// Where a condition of put does not hold it is an error (CodePrecondition).
func (s *Store) PutStock(ctx context.Context, put standin.StockPut) (line standin.StockRecord, created bool, err error) {
	wanted := standin.NewMove{
		StockKey: put.StockKey, Kind: standin.MoveCounted, Quantity: put.Quantity, By: put.By, Reason: put.Reason, Reference: put.Reference,
	}
	if err := wanted.Check(); err != nil {
		return line, false, err
	}
	err = s.inTx(ctx, put.By, func(ctx context.Context, w *work) error {
		got, id, at, err := w.lock(ctx, numberMoves, lineWanted{put.StockKey, true})
		if err != nil {
			return err
		}
		if err := mayPut(put, got[0]); err != nil {
			return err
		}
		line, created = got[0].StockRecord, got[0].created
		if !created && line.Quantity == put.Quantity {
			return nil
		}
		line.Quantity = put.Quantity
		w.write(got[0], put.Quantity)
		w.keepMove(standin.Move{ID: id, At: at, NewMove: wanted, Before: got[0].Quantity, After: put.Quantity})
		return nil
	})
	if err != nil {
		return line, false, err
	}
	line, err = s.StockOf(ctx, put.StockKey) // with its new tag
	return line, created, err
}

// mayPut returns an error where a condition of put does not hold.
func mayPut(put standin.StockPut, line locked) error {
	switch {
	case put.Absent && !line.created:
		return refuse(standin.CodePrecondition, "If-None-Match", fmt.Sprintf("%s is there already, with %d", line.StockKey, line.Quantity))
	case put.Match != "" && line.created:
		return refuse(standin.CodePrecondition, "If-Match", fmt.Sprintf("there is no stock line %s", line.StockKey))
	case put.Match != "" && put.Match != line.Tag:
		return refuse(standin.CodePrecondition, "If-Match", fmt.Sprintf(
			"%s has changed since it was read: it has %d, of which %d are on hold; read it again", line.StockKey, line.Quantity, line.Held))
	}
	return nil
}

// ListMoves returns at most limit moves from or to the lines that match a filter, in
// the order in which they were made, those after a number.
func (s *Store) ListMoves(ctx context.Context, filter standin.StockFilter, after int64, limit int) ([]standin.Move, error) {
	return db.Rows(ctx, s.db, scanMove, listMovesSQL, filter.Location, filter.PartNumber, after, limit)
}

func scanMove(row pgx.CollectableRow) (m standin.Move, err error) {
	var at time.Time
	err = row.Scan(&m.ID, &at, &m.By, &m.Kind, &m.Location, &m.PartNumber, &m.Revision, &m.Condition, &m.Quantity, &m.Before, &m.After,
		&m.To, &m.ToBefore, &m.ToAfter, &m.Hold, &m.Reason, &m.Reference)
	m.At = at.UTC()
	return m, err
}
