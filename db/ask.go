package db

import (
	"context"
	"errors"
	"io"
	"net"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db/internal/pg"
)

// askAgain is after how long servers that were all away or behind are asked again,
// the first time; twice as long each time after it.
const askAgain = 20 * time.Millisecond

// askRounds is how often all servers are asked.
const askRounds = 5

// errBehind is a standby that does not have yet what somebody has seen.
var errBehind = errors.New("the standby is behind what was seen")

// The state that a server answers in, and whether it is a standby.
const serverStateSQL = `SELECT catalogue, stock, pg_is_in_recovery() FROM catalogue_state`

// Ask has statements answered together, in one round trip and out of one snapshot,
// by a server that has everything that was seen. queue adds them to a batch; it is
// called again where another connection or server has to be asked, and so makes
// anew what their results are read into. The error is translated.
func (db *DB) Ask(ctx context.Context, queue func(*pgx.Batch)) error {
	return db.askWithin(ctx, readTimeout, queue)
}

func (db *DB) askWithin(ctx context.Context, limit time.Duration, queue func(*pgx.Batch)) error {
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	if len(db.servers) == 0 {
		return translate(db.askOnly(ctx, queue))
	}
	return translate(db.askSome(ctx, queue))
}

// Rows are the rows of one statement, asked as Ask does.
func Rows[T any](ctx context.Context, db *DB, scan pgx.RowToFunc[T], sql string, args ...any) (found []T, err error) {
	err = db.Ask(ctx, func(b *pgx.Batch) {
		b.Queue(sql, args...).Query(func(rows pgx.Rows) (err error) {
			found, err = pgx.CollectRows(rows, scan)
			return err
		})
	})
	return found, err
}

// askOnly asks the one server there is. A connection may have been lost since it
// was used last: once, another is tried.
func (db *DB) askOnly(ctx context.Context, queue func(*pgx.Batch)) error {
	err := sendSnapshot(ctx, db.pool, queue, nil)
	if err != nil && ctx.Err() == nil && isAway(err) && !isRefused(err) && !pg.IsDiskFull(err) {
		db.pool.Reset()
		err = sendSnapshot(ctx, db.pool, queue, nil)
	}
	return err
}

// askSome asks one server after the other: standbys in turn, then the primary, last
// those that lately were away. A standby that is behind is passed over. What the
// primary says counts even where it lacks what was seen, but only after a while:
// changes were then lost in a failover.
func (db *DB) askSome(ctx context.Context, queue func(*pgx.Batch)) (err error) {
	pause := askAgain
	var full error
	for round := 1; ; round++ {
		need := db.seen.get().Newest(standin.SeenIn(ctx))
		for _, s := range db.inTurn() {
			var told serverState
			told, err = s.ask(ctx, need, round > askRounds/2, queue)
			switch {
			case err == nil:
				db.saw(told, need)
				return nil
			case ctx.Err() != nil:
				return err
			case !errors.Is(err, errBehind) && !isAway(err) && !errors.Is(err, context.DeadlineExceeded):
				return err // an answer, if not the one hoped for
			case pg.IsDiskFull(err):
				full = err
			}
		}
		if round == askRounds {
			break
		}
		select {
		case <-ctx.Done():
			return err
		case <-time.After(pause):
			pause *= 2
		}
	}
	if full != nil {
		return full // says more than that others are away
	}
	if errors.Is(err, errBehind) {
		return &standin.Error{Code: standin.CodeUnavailable, Cause: err,
			Message: "the database servers that can be reached do not have yet what you have seen; try again"}
	}
	return err
}

// serverState is what a server says of itself before it answers.
type serverState struct {
	standin.State
	standby bool
}

// sendSnapshot sends a batch as one snapshot. told, where it is not nil, is read
// first, and its error keeps everything else from being read.
func sendSnapshot(ctx context.Context, pool *pgxpool.Pool, queue func(*pgx.Batch), told func(pgx.Row) error) error {
	asked := &pgx.Batch{}
	queue(asked)
	if told == nil && asked.Len() == 1 { // a snapshot as it is
		return pool.SendBatch(ctx, asked).Close()
	}
	b := &pgx.Batch{}
	b.Queue(beginDossiersSQL)
	if told != nil {
		b.Queue(serverStateSQL).QueryRow(told)
	}
	b.QueuedQueries = append(b.QueuedQueries, asked.QueuedQueries...)
	b.Queue(commitDossiersSQL)
	return pool.SendBatch(ctx, b).Close()
}

// isAway reports whether another server, or this one over another connection, may
// answer what one did not.
func isAway(err error) bool {
	if pgErr, ok := errors.AsType[*pgconn.PgError](err); ok {
		return pg.IsElsewhere(pgErr.Code)
	}
	if _, ok := errors.AsType[*pgconn.ConnectError](err); ok {
		return true
	}
	_, network := errors.AsType[net.Error](err)
	return network || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.ECONNRESET) || pgconn.SafeToRetry(err)
}

// isRefused reports whether no connection could be made at all.
func isRefused(err error) bool {
	_, refused := errors.AsType[*pgconn.ConnectError](err)
	return refused
}
