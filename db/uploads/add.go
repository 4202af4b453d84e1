package uploads

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/internal/pg"
	"standin/db/shop"
)

const (
	addSQL = `INSERT INTO uploads (id, by, bundle, options, undoes, server) VALUES ($1, $2, $3, $4, nullif($5::bigint, 0), $6)`

	// Of what failed or was lost nothing happened: the same key may be tried again.
	againSQL = `SELECT state IN ('failed', 'lost') OR ended IS NULL AND heartbeat < now() - interval '20 seconds' FROM uploads WHERE id = $1`
	rekeySQL = `UPDATE idempotency SET result = $3 WHERE token_id = $1 AND key = $2`

	// Each upload deletes two that are old, so that hardly more are kept than some
	// days bring.
	forgetSQL = `DELETE FROM uploads WHERE ctid = ANY (ARRAY(SELECT ctid FROM uploads
		WHERE created <= now() - interval '7 days' ORDER BY created LIMIT 2 FOR UPDATE SKIP LOCKED))`

	// The service that has the files is told by its next heartbeat.
	workAgainSQL = `UPDATE uploads SET state = 'waiting', ended = NULL, kept_until = NULL, by = $2, options = $3,
			file = '', rows = 0, share = 0, refusal = '', about = '', message = '',
			errors = 0, warnings = 0, findings = '[]', read = '[]', files = '[]', changes = '[]'
		WHERE id = $1 AND state IN ('checked', 'refused') AND kept_until > now() AND heartbeat > now() - interval '20 seconds'`
)

// made is what is kept of a call that creates an upload.
type made struct {
	Upload string `json:"upload"`
}

// AddUpload keeps a new upload that a service works on. Where the same key and
// request made one before that did not fail, that one is returned, and isNew is false.
func (s *Store) AddUpload(ctx context.Context, server string, u standin.Upload, once standin.Once) (kept standin.Upload, isNew bool, err error) {
	ctx, cancel := within(ctx)
	defer cancel()
	add := func(tx pgx.Tx) (made, error) {
		isNew = true
		id := "u" + strings.ToLower(rand.Text())
		_, err := tx.Exec(ctx, addSQL, id, u.By, u.Bundle, u.Options, u.Undoes, server)
		return made{id}, err
	}
	err = pgx.BeginFunc(ctx, s.pool, func(tx pgx.Tx) error {
		var result made
		err := shop.Once(ctx, tx, once, &result, func() (err error) {
			result, err = add(tx)
			return err
		})
		if err != nil {
			return err
		}
		if !isNew {
			var again bool
			switch err := tx.QueryRow(ctx, againSQL, result.Upload).Scan(&again); {
			case err != nil:
				return err
			case again:
				if result, err = add(tx); err != nil {
					return err
				}
				if _, err := tx.Exec(ctx, rekeySQL, once.Token, once.Key, result); err != nil {
					return err
				}
			}
		}
		if _, err := tx.Exec(ctx, forgetSQL); err != nil {
			return err
		}
		kept, err = uploadOf(ctx, tx, uploadSQL, result.Upload)
		return err
	})
	return kept, isNew, pg.Translate(err)
}

// Again has an upload that was only checked be worked on again with other options, by
// the service that has its files. CodeConflict where that cannot be.
func (s *Store) Again(ctx context.Context, id, by string, once standin.Once, change func(*standin.UploadOptions)) (u standin.Upload, err error) {
	ctx, cancel := within(ctx)
	defer cancel()
	err = pgx.BeginFunc(ctx, s.pool, func(tx pgx.Tx) error {
		var result made
		err := shop.Once(ctx, tx, once, &result, func() error {
			result = made{id}
			u, err := uploadOf(ctx, tx, uploadSQL, id)
			if errors.Is(err, pgx.ErrNoRows) {
				return notFound(id)
			}
			if err != nil {
				return err
			}
			options := u.Options
			change(&options)
			tag, err := tx.Exec(ctx, workAgainSQL, id, by, options)
			if err == nil && tag.RowsAffected() == 0 {
				err = cannotAgain(u)
			}
			return err
		})
		if err != nil {
			return err
		}
		u, err = uploadOf(ctx, tx, uploadSQL, id)
		return err
	})
	return u, pg.Translate(err)
}

// cannotAgain says why an upload cannot be worked on again.
func cannotAgain(u standin.Upload) error {
	why := "no service has its files any more; send it again"
	switch {
	case u.State.UnderWay():
		why = fmt.Sprintf("it is %s; wait for its end", u.State)
	case !u.Options.Check:
		why = fmt.Sprintf("it is %s, and only what was checked can be", u.State)
	}
	return &standin.Error{Code: standin.CodeConflict, Field: "id", Message: fmt.Sprintf("upload %s cannot be taken in: %s", u.ID, why)}
}
