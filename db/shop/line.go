package shop

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// heldColumn is how many pieces of a line are on hold now: at the time of the
// statement, not at the beginning of the transaction, because a hold may run out
// while the transaction waits for the lock, and be given to someone else.
const heldColumn = `(SELECT coalesce(sum(h.quantity), 0) FROM holds h
	WHERE h.part_number = p.part_number AND h.location = s.location AND h.revision = coalesce(r.revision, '')
		AND h.condition = s.condition AND h.state = 'held' AND h.until > (SELECT clock_timestamp()))`

const recordColumns = `s.location, p.part_number, coalesce(r.revision, ''), s.condition, p.kind, s.quantity, ` + heldColumn + `, s.xmin::text`

const recordsFrom = ` FROM stock s JOIN parts p ON p.id = s.part_id LEFT JOIN revisions r ON r.id = s.revision_id`

// The line of a key is found by ids, so that the index of the lines is used.
const lineWhere = `s.part_id = (SELECT id FROM parts WHERE part_number = $2) AND s.location = $1 AND s.condition = $4
	AND s.revision_id IS NOT DISTINCT FROM (SELECT r.id FROM revisions r JOIN parts p ON p.id = r.part_id
		WHERE p.part_number = $2 AND r.revision = $3)
	AND ($3 = '' OR s.revision_id IS NOT NULL)`

const (
	// An import of stock locks the table against changes. Whoever is to change a line
	// waits for it here, before locking a line that the import may need.
	changeStockSQL = `LOCK TABLE stock IN ROW EXCLUSIVE MODE`
	ensureLineSQL  = `INSERT INTO stock (location, part_id, revision_id, condition, quantity)
		SELECT $1, p.id, r.id, $4, 0 FROM parts p LEFT JOIN revisions r ON r.part_id = p.id AND r.revision = $3
		WHERE p.part_number = $2 AND ($3 = '' OR r.id IS NOT NULL)
		ON CONFLICT (part_id, location, revision_id, condition) DO NOTHING`
	// Locking and reading are two statements, because one alone would not see what
	// the previous holder of the lock has committed. A line that is read but was not
	// locked was inserted in between and counts as not there yet.
	lockLineSQL = `SELECT 1 FROM stock s WHERE ` + lineWhere + ` FOR UPDATE`
	lineSQL     = `SELECT ` + recordColumns + recordsFrom + ` WHERE ` + lineWhere
	writeSQL    = `UPDATE stock s SET quantity = $5 WHERE ` + lineWhere
	knownSQL    = `SELECT EXISTS (SELECT FROM parts WHERE part_number = $1),
		EXISTS (SELECT FROM revisions r JOIN parts p ON p.id = r.part_id WHERE p.part_number = $1 AND r.revision = $2)`
)

// locked is a line that this transaction alone changes.
type locked struct {
	standin.StockRecord
	created bool // by this transaction
	there   bool
}

// lock locks lines in the order given, creates those that ask for it, and in the same
// round trip takes the next number of a sequence, and the time. Quantities may be
// changed only where the number is that of a move.
func (w *work) lock(ctx context.Context, sequence string, lines ...lineWanted) (got []locked, id int64, at time.Time, err error) {
	got = make([]locked, len(lines))
	batch := &pgx.Batch{}
	if sequence == numberMoves {
		batch.Queue(changeStockSQL)
	}
	for i, line := range lines {
		key := []any{line.Location, line.PartNumber, line.Revision, line.Condition}
		if line.make {
			batch.Queue(ensureLineSQL, key...).Exec(func(tag pgconn.CommandTag) error {
				got[i].created = tag.RowsAffected() == 1
				return nil
			})
		}
		batch.Queue(lockLineSQL, key...).Exec(func(tag pgconn.CommandTag) error {
			got[i].there = tag.RowsAffected() == 1
			return nil
		})
	}
	for i, line := range lines {
		batch.Queue(lineSQL, line.Location, line.PartNumber, line.Revision, line.Condition).Query(func(rows pgx.Rows) error {
			records, err := pgx.CollectRows(rows, scanRecord)
			if got[i].there = got[i].there && len(records) == 1; got[i].there {
				got[i].StockRecord = records[0]
			}
			return err
		})
	}
	batch.Queue(numberSQL, sequence).QueryRow(func(row pgx.Row) error { return row.Scan(&id, &at) })
	if err := w.tx.SendBatch(ctx, batch).Close(); err != nil {
		return nil, 0, at, err
	}
	for i, line := range lines {
		if !got[i].there {
			if line.make {
				return nil, 0, at, w.unknown(ctx, line.StockKey)
			}
			got[i].StockKey = line.StockKey
		}
	}
	return got, id, at.UTC(), nil
}

// The sequences that numbers are taken from.
const (
	numberMoves    = "stock_moves"
	numberHolds    = "holds"
	numberFittings = "fittings"
)

const numberSQL = `SELECT nextval(pg_get_serial_sequence($1, 'id')), clock_timestamp()`

// lineWanted is a line to be locked.
type lineWanted struct {
	standin.StockKey
	make bool // create it where it does not exist
}

// unknown returns the error that says which part of a key is not in the catalogue, or
// that there is no such line.
func (w *work) unknown(ctx context.Context, key standin.StockKey) error {
	var part, revision bool
	if err := w.tx.QueryRow(ctx, knownSQL, key.PartNumber, key.Revision).Scan(&part, &revision); err != nil {
		return err
	}
	if !part {
		return refuse(standin.CodeNotFound, "part_number", fmt.Sprintf("no part %s is in the catalogue", key.PartNumber))
	}
	if key.Revision != "" && !revision {
		return refuse(standin.CodeNotFound, "revision", fmt.Sprintf("no revision %s of %s is in the catalogue", key.Revision, key.PartNumber))
	}
	return refuse(standin.CodeNotFound, "location", fmt.Sprintf("there is no stock line %s", key))
}

// write queues a new quantity of a line, for the database and for the feed.
func (w *work) write(line locked, quantity int) {
	k := line.StockKey
	w.last.Queue(writeSQL, k.Location, k.PartNumber, k.Revision, k.Condition, quantity)
	w.changedLine(line, quantity)
}

func (w *work) changedLine(line locked, quantity int) {
	var before any
	if !line.created {
		before = lineJSON{keyJSONOf(line.StockKey), line.Quantity}
	}
	w.changed("stock", keyJSONOf(line.StockKey), before, lineJSON{keyJSONOf(line.StockKey), quantity})
}

// keyJSON and lineJSON are a line in the form of the feed, which is that of the
// changes of an import.
type keyJSON struct {
	Location   string `json:"location"`
	PartNumber string `json:"part_number"`
	Revision   string `json:"revision"`
	Condition  string `json:"condition"`
}

type lineJSON struct {
	keyJSON
	Quantity int `json:"quantity"`
}

func keyJSONOf(k standin.StockKey) keyJSON { return keyJSON(k) }

func scanRecord(row pgx.CollectableRow) (r standin.StockRecord, err error) {
	var held int
	var version string
	err = row.Scan(&r.Location, &r.PartNumber, &r.Revision, &r.Condition, &r.Kind, &r.Quantity, &held, &version)
	r.Held = held
	r.Tag = fmt.Sprintf("%s-%d", version, held)
	return r, err
}

// maybeID returns an id for a column, NULL for 0.
func maybeID(id int64) pgtype.Int8 { return pgtype.Int8{Int64: id, Valid: id != 0} }
