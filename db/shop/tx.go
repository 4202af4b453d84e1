package shop

import (
	"context"
	"encoding/json"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"

	"standin"
)

const (
	// Waiting longer than this for a line that others change is an error.
	beginning = `BEGIN; SET LOCAL lock_timeout = '10s'`

	claimSQL = `INSERT INTO idempotency (token_id, key, request) VALUES ($1, $2, $3)
		ON CONFLICT (token_id, key) DO UPDATE SET request = excluded.request, result = NULL, at = excluded.at
		WHERE idempotency.at <= now() - interval '24 hours'`
	claimedSQL = `SELECT request = $3, result FROM idempotency WHERE token_id = $1 AND key = $2`
	keepSQL    = `UPDATE idempotency SET result = $3 WHERE token_id = $1 AND key = $2`
	// Each call deletes two that are old, so that hardly more are kept than one day
	// brings.
	forgetSQL = `DELETE FROM idempotency WHERE ctid = ANY (ARRAY(SELECT ctid FROM idempotency
		WHERE at <= now() - interval '24 hours' ORDER BY at LIMIT 2 FOR UPDATE SKIP LOCKED))`

	// What the transaction leads to, for whoever is asked next.
	writtenSQL = `SELECT catalogue, stock FROM catalogue_state`

	publishSQL = `WITH next AS (
			UPDATE catalogue_state SET stock = stock + 1, feed = feed + 1 RETURNING feed
		)
		INSERT INTO feed (version, seq, by, kind, key, before, after)
		SELECT next.feed, c.seq, $1, c.kind, c.key::jsonb, c.before::jsonb, c.after::jsonb
		FROM next, unnest($2::text[], $3::text[], $4::text[], $5::text[]) WITH ORDINALITY AS c (kind, key, before, after, seq)`
)

// work is one transaction: what it has changed, for the feed, and what it writes
// last, in one round trip.
type work struct {
	tx      pgx.Tx
	by      string
	last    pgx.Batch
	changes []change
}

// change is one row of the feed.
type change struct {
	kind               string
	key, before, after any // nil where it did not exist before, or does not after
}

// changed records a change for the feed.
func (w *work) changed(kind string, key, before, after any) {
	w.changes = append(w.changes, change{kind, key, before, after})
}

// inTx calls do in a transaction that ends by publishing what it changed. Nothing is
// written where do returns an error. The error is translated.
func (s *Store) inTx(ctx context.Context, by string, do func(context.Context, *work) error) error {
	ctx, cancel := within(ctx)
	defer cancel()
	tx, err := s.pool.BeginTx(ctx, pgx.TxOptions{BeginQuery: beginning})
	if err != nil {
		return pg.Translate(err)
	}
	defer pg.Rollback(ctx, tx)
	w := &work{tx: tx, by: by}
	if err := do(ctx, w); err != nil {
		return pg.Translate(err)
	}
	if err := w.publish(); err != nil {
		return err
	}
	var state standin.State
	w.last.Queue(writtenSQL).QueryRow(func(row pgx.Row) error { return row.Scan(&state.Catalogue, &state.Stock) })
	if err := tx.SendBatch(ctx, &w.last).Close(); err != nil {
		return pg.Translate(err)
	}
	defer s.db.Changed()
	if err := tx.Commit(ctx); err != nil {
		return pg.Translate(err)
	}
	s.db.Wrote(state)
	return nil
}

// publish queues the row of the feed. It must be the last statement, because to take
// its number it locks the one row that everybody who changes something needs.
func (w *work) publish() error {
	if len(w.changes) == 0 {
		return nil
	}
	columns := make([][]*string, 4)
	for _, c := range w.changes {
		columns[0] = append(columns[0], &c.kind)
		for i, value := range []any{c.key, c.before, c.after} {
			text, err := encoded(value)
			if err != nil {
				return err
			}
			columns[i+1] = append(columns[i+1], text)
		}
	}
	w.last.Queue(publishSQL, w.by, columns[0], columns[1], columns[2], columns[3])
	return nil
}

// encoded returns a value as JSON, nil for nil.
func encoded(value any) (*string, error) {
	if value == nil {
		return nil, nil
	}
	text, err := json.Marshal(value)
	out := string(text)
	return &out, err
}

// onceInTx is inTx for a call that creates something. With a key that was used before
// it sets result to what it was then and does not call do. The key is stored in the
// transaction of its effect, so that either both are stored or neither; a call made
// while the first is in progress waits for it.
func (s *Store) onceInTx(ctx context.Context, once standin.Once, by string, result any, do func(context.Context, *work) error) error {
	return s.inTx(ctx, by, func(ctx context.Context, w *work) error {
		done, err := claim(ctx, w.tx, once, result)
		if err != nil || done {
			return err
		}
		if err := do(ctx, w); err != nil {
			return err
		}
		return keep(&w.last, once, result)
	})
}

// Once is the same in a transaction of the caller's: it calls do unless the key was
// used before, in which case it sets result to what it was then.
func Once(ctx context.Context, tx pgx.Tx, once standin.Once, result any, do func() error) error {
	done, err := claim(ctx, tx, once, result)
	if err != nil || done {
		return err
	}
	if err := do(); err != nil {
		return err
	}
	last := &pgx.Batch{}
	if err := keep(last, once, result); err != nil {
		return err
	}
	return tx.SendBatch(ctx, last).Close()
}

// claim reports whether a call was made before, and sets result to what it made
// then.
func claim(ctx context.Context, tx pgx.Tx, once standin.Once, result any) (done bool, err error) {
	if once.Key == "" {
		return false, nil
	}
	tag, err := tx.Exec(ctx, claimSQL, once.Token, once.Key, once.Request[:])
	if err != nil || tag.RowsAffected() == 1 {
		return false, err
	}
	var same bool
	var kept []byte
	switch err := tx.QueryRow(ctx, claimedSQL, once.Token, once.Key, once.Request[:]).Scan(&same, &kept); {
	case err != nil:
		return false, err
	case !same:
		return false, keyReused()
	}
	return true, json.Unmarshal(kept, result)
}

func keyReused() error {
	return refuse(standin.CodeKeyReused, "Idempotency-Key", "this Idempotency-Key was sent with another request before; choose a new one for each")
}

// keep queues the statements that store what a call made.
func keep(last *pgx.Batch, once standin.Once, result any) error {
	if once.Key == "" {
		return nil
	}
	text, err := json.Marshal(result)
	if err != nil {
		return err
	}
	last.Queue(keepSQL, once.Token, once.Key, text)
	last.Queue(forgetSQL)
	return nil
}
