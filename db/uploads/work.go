package uploads

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/internal/pg"
)

const (
	// Only what is kept may be taken, and only what is under way may be lost.
	liveSQL = `UPDATE uploads SET heartbeat = now() WHERE server = $1 AND (ended IS NULL OR kept_until > now())
		RETURNING id, state, options, by`

	progressSQL = `UPDATE uploads SET state = $3, file = $4, rows = $5, share = $6, heartbeat = now()
		WHERE id = $1 AND server = $2 AND ended IS NULL`

	foundSQL = `UPDATE uploads SET errors = $3, warnings = $4, findings = $5, read = $6, files = $7, changes = $8, heartbeat = now()
		WHERE id = $1 AND server = $2 AND ended IS NULL`

	endSQL = `UPDATE uploads SET state = $3, refusal = $4, about = $5, message = $6, file = '', kept_until = now() + make_interval(secs => $7),
			ended = now(), heartbeat = now()
		WHERE id = $1 AND server = $2 AND ended IS NULL`

	letGoSQL = `UPDATE uploads SET kept_until = NULL WHERE id = $1 AND server = $2 AND ended IS NOT NULL`
	keptSQL  = `SELECT ended IS NULL FROM uploads WHERE id = $1`
)

// Live says that a service lives, and returns its uploads that are under way or whose
// files it keeps: their id, state, options and who sent them.
func (s *Store) Live(ctx context.Context, server string) ([]standin.Upload, error) {
	ctx, cancel := context.WithTimeout(ctx, Silent/4)
	defer cancel()
	rows, err := s.pool.Query(ctx, liveSQL, server)
	if err != nil {
		return nil, pg.Translate(err)
	}
	all, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (u standin.Upload, err error) {
		return u, row.Scan(&u.ID, &u.State, &u.Options, &u.By)
	})
	return all, pg.Translate(err)
}

// Progress keeps how far an upload is. It reports whether the upload is still the
// service's to work on.
func (s *Store) Progress(ctx context.Context, server string, u standin.Upload) (bool, error) {
	return s.change(ctx, progressSQL, u.ID, server, u.State, u.File, u.Rows, u.Share)
}

// Found keeps what was found in an upload.
func (s *Store) Found(ctx context.Context, server, id string, f standin.UploadFound) (bool, error) {
	changes := []standin.FileChange{}
	files := make([]standin.FileDiff, len(f.Files))
	for i, file := range f.Files {
		for _, c := range file.Changes[:min(len(file.Changes), mostFindings)] {
			changes = append(changes, standin.FileChange{File: file.File, Change: c})
		}
		file.Changes = nil
		files[i] = file
	}
	findings := append([]standin.Finding{}, f.Findings[:min(len(f.Findings), mostFindings)]...)
	return s.change(ctx, foundSQL, id, server, f.Errors, f.Warnings, findings, append([]standin.FileRead{}, f.Read...), files, changes)
}

// End keeps how an upload ended, and for how long the service has its files, which is
// 0 where it has not.
func (s *Store) End(ctx context.Context, server, id string, state standin.UploadState, why *standin.Error, kept time.Duration) (bool, error) {
	if why == nil {
		why = &standin.Error{}
	}
	return s.change(ctx, endSQL, id, server, state, why.Code, why.Field, why.Message, kept.Seconds())
}

// LetGo says that a service will no longer have the files of what it checked. It
// reports false where somebody has it taken in at this moment.
func (s *Store) LetGo(ctx context.Context, server, id string) (bool, error) {
	if _, err := s.change(ctx, letGoSQL, id, server); err != nil {
		return false, err
	}
	ctx, cancel := within(ctx)
	defer cancel()
	var taken bool
	err := s.pool.QueryRow(ctx, keptSQL, id).Scan(&taken)
	if errors.Is(err, pgx.ErrNoRows) {
		return true, nil
	}
	return !taken, pg.Translate(err)
}

func (s *Store) change(ctx context.Context, sql string, args ...any) (bool, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	tag, err := s.pool.Exec(ctx, sql, args...)
	return tag.RowsAffected() > 0, pg.Translate(err)
}
