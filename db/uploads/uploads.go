// Package uploads keeps in PostgreSQL the bundles that were sent to be checked or
// imported in the background, so that every service can say what became of them,
// also where the one that worked on them ended.
package uploads

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db"
	"standin/db/internal/pg"
)

// Silent is how long a service may not be heard of before what it works on is taken
// for lost.
const Silent = 20 * time.Second

// mostFindings is how many findings, and changes of a file, are kept at most.
const mostFindings = 1000

// Store is the uploads in a database. It is safe for concurrent use.
type Store struct {
	pool *pgxpool.Pool
}

// NewStore returns the uploads in a database, whose connections it shares.
func NewStore(opened *db.DB) *Store { return &Store{opened.Pool()} }

const uploadColumns = `u.id, u.created, u.ended, u.by, u.bundle, u.options, coalesce(u.undoes, 0), u.state, u.file, u.rows, u.share,
	u.errors, u.warnings, u.read, u.files, u.refusal, u.about, u.message,
	CASE WHEN u.state IN ('checked', 'refused') AND u.kept_until > now() AND u.heartbeat > now() - interval '20 seconds' THEN u.kept_until END,
	coalesce(i.id, 0), i.at, coalesce(i.by, ''), coalesce(i.bundle, ''), coalesce(i.catalogue_version, 0), coalesce(i.added, 0),
	coalesce(i.changed, 0), coalesce(i.removed, 0), coalesce(i.undoes, 0), coalesce(i.undone_by, 0)`

const uploadsAndImports = ` FROM uploads u LEFT JOIN imports i ON i.id = u.import_id
	WHERE u.created > now() - interval '7 days'`

const (
	uploadSQL         = `SELECT ` + uploadColumns + uploadsAndImports + ` AND u.id = $1`
	uploadOfImportSQL = `SELECT ` + uploadColumns + uploadsAndImports + ` AND u.import_id = $1`

	// The time is looked at again once the row is locked, should the service that
	// works on it be writing it.
	loseSQL = `UPDATE uploads SET state = 'lost', ended = now(), refusal = 'unavailable',
			message = 'the service that worked on it ended; nothing was imported, send it again'
		WHERE id = $1 AND ended IS NULL AND heartbeat < now() - interval '20 seconds'`

	endedSQL = `SELECT ended IS NOT NULL OR heartbeat < now() - interval '20 seconds' FROM uploads WHERE id = $1`

	findingsSQL = `SELECT f FROM uploads, jsonb_array_elements(findings) WITH ORDINALITY AS found (f, n)
		WHERE id = $1 AND n > $2 ORDER BY n LIMIT $3`
	changesSQL = `SELECT c FROM uploads, jsonb_array_elements(changes) WITH ORDINALITY AS change (c, n)
		WHERE id = $1 AND n > $2 ORDER BY n LIMIT $3`
)

// UploadOf returns one upload. CodeNotFound where there is none, or none any more.
func (s *Store) UploadOf(ctx context.Context, id string) (standin.Upload, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	if _, err := s.pool.Exec(ctx, loseSQL, id); err != nil {
		return standin.Upload{}, pg.Translate(err)
	}
	u, err := uploadOf(ctx, s.pool, uploadSQL, id)
	if errors.Is(err, pgx.ErrNoRows) {
		return u, notFound(id)
	}
	return u, pg.Translate(err)
}

// UploadOfImport returns the upload that made an import, and whether that is kept.
func (s *Store) UploadOfImport(ctx context.Context, imported int64) (u standin.Upload, kept bool, err error) {
	ctx, cancel := within(ctx)
	defer cancel()
	u, err = uploadOf(ctx, s.pool, uploadOfImportSQL, imported)
	if errors.Is(err, pgx.ErrNoRows) {
		return u, false, nil
	}
	return u, err == nil, pg.Translate(err)
}

// FindingsOf returns findings of an upload, those after so many.
func (s *Store) FindingsOf(ctx context.Context, id string, after, limit int) ([]standin.Finding, error) {
	return pageOf[standin.Finding](ctx, s.pool, findingsSQL, id, after, limit)
}

// ChangesOf returns the rows that an upload would change, those after so many.
func (s *Store) ChangesOf(ctx context.Context, id string, after, limit int) ([]standin.FileChange, error) {
	return pageOf[standin.FileChange](ctx, s.pool, changesSQL, id, after, limit)
}

func pageOf[T any](ctx context.Context, from querier, sql, id string, after, limit int) ([]T, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	rows, err := from.Query(ctx, sql, id, after, limit)
	if err != nil {
		return nil, pg.Translate(err)
	}
	all, err := pgx.CollectRows(rows, pgx.RowTo[T])
	return all, pg.Translate(err)
}

// pauses between two looks at an upload that is awaited: short at first, as most
// bundles are small.
const (
	firstPause   = 20 * time.Millisecond
	longestPause = 500 * time.Millisecond
)

// AwaitUpload returns when an upload has ended, or so much time has passed, or the
// context is at its end.
func (s *Store) AwaitUpload(ctx context.Context, id string, wait time.Duration) error {
	waiting, cancel := context.WithTimeout(ctx, min(wait, standin.MaxWait))
	defer cancel()
	for pause := firstPause; ; pause = min(2*pause, longestPause) {
		var ended bool
		err := s.pool.QueryRow(waiting, endedSQL, id).Scan(&ended)
		switch {
		case waiting.Err() != nil, ended, errors.Is(err, pgx.ErrNoRows):
			return nil
		case err != nil:
			return pg.Translate(err)
		}
		select {
		case <-waiting.Done():
		case <-time.After(pause):
		}
	}
}

// querier runs a query: the pool or a transaction.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
}

// uploadOf returns the one upload of a statement, pgx.ErrNoRows where there is none.
func uploadOf(ctx context.Context, from querier, sql string, args ...any) (standin.Upload, error) {
	rows, err := from.Query(ctx, sql, args...)
	if err != nil {
		return standin.Upload{}, err
	}
	return pgx.CollectExactlyOneRow(rows, scanUpload)
}

// scanUpload reads uploadColumns.
func scanUpload(row pgx.CollectableRow) (u standin.Upload, err error) {
	var ended, kept, imported pgtype.Timestamptz
	var refusal, about, message string
	i := &u.Import
	err = row.Scan(&u.ID, &u.Created, &ended, &u.By, &u.Bundle, &u.Options, &u.Undoes, &u.State, &u.File, &u.Rows, &u.Share,
		&u.Errors, &u.Warnings, &u.Read, &u.Files, &refusal, &about, &message, &kept,
		&i.ID, &imported, &i.By, &i.Bundle, &i.CatalogueVersion, &i.Added, &i.Changed, &i.Removed, &i.Undoes, &i.UndoneBy)
	u.Created = u.Created.UTC()
	u.Ended, u.KeptUntil, i.At = timeOf(ended), timeOf(kept), timeOf(imported)
	if refusal != "" {
		u.Err = &standin.Error{Code: standin.Code(refusal), Field: about, Message: message}
	}
	return u, err
}

// timeOf returns a time in UTC, the zero time for NULL.
func timeOf(t pgtype.Timestamptz) time.Time {
	if !t.Valid {
		return time.Time{}
	}
	return t.Time.UTC()
}

func notFound(id string) error {
	return &standin.Error{Code: standin.CodeNotFound, Field: "id",
		Message: fmt.Sprintf("there is no upload %s; one is kept for 7 days, its import longer, under its number", id)}
}

// within bounds a call in time.
func within(ctx context.Context) (context.Context, context.CancelFunc) {
	return context.WithTimeout(ctx, pg.ReadTimeout)
}
