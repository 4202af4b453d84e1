package shop

import (
	"context"
	"encoding/json"
	"fmt"
	"standin/db/internal/pg"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db"
)

const fittingColumns = `id, at, by, brand, model, variant, of_brand, of_model, of_variant, made, serial, plug, old_part, build,
	part_number, revision, board_serial, family, code, pattern, reading, tally, outcome, cause, note, reference`

const (
	fittingSQL      = `SELECT ` + fittingColumns + ` FROM fittings WHERE id = $1`
	lockFittingSQL  = fittingSQL + ` FOR UPDATE`
	listFittingsSQL = `SELECT ` + fittingColumns + ` FROM fittings
		WHERE ($1 = '' OR (of_brand, of_model, of_variant) = ($1, $2, $3) OR (brand, model, variant) = ($1, $2, $3))
			AND ($4 = '' OR part_number = $4) AND ($5 = '' OR outcome = $5) AND id > $6
		ORDER BY id LIMIT $7`
	addFittingSQL = `INSERT INTO fittings (` + fittingColumns + `) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12,
		$13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26)`
	setResultSQL = `UPDATE fittings SET outcome = $2, cause = $3, note = $4 WHERE id = $1`
	madeSQL      = `SELECT request = $3, result FROM idempotency
		WHERE token_id = $1 AND key = $2 AND result IS NOT NULL AND at > now() - interval '24 hours'`
)

// FittingMade returns the fitting that the same key and request made before, and
// whether there is one. A key used with another request is an error (CodeKeyReused).
func (s *Store) FittingMade(ctx context.Context, once standin.Once) (made standin.Fitting, ok bool, err error) {
	if once.Key == "" {
		return made, false, nil
	}
	ctx, cancel := within(ctx)
	defer cancel()
	var same bool
	var kept []byte
	switch err := s.pool.QueryRow(ctx, madeSQL, once.Token, once.Key, once.Request[:]).Scan(&same, &kept); {
	case pg.IsNoRows(err):
		return made, false, nil
	case err != nil:
		return made, false, pg.Translate(err)
	case !same:
		return made, false, keyReused()
	}
	return made, true, json.Unmarshal(kept, &made)
}

// AddFitting records a fitting as it is given; its number and time are set here.
func (s *Store) AddFitting(ctx context.Context, wanted standin.Fitting, once standin.Once) (made standin.Fitting, err error) {
	err = s.onceInTx(ctx, once, wanted.By, &made, func(ctx context.Context, w *work) error {
		made = wanted
		if err := w.tx.QueryRow(ctx, numberSQL, numberFittings).Scan(&made.ID, &made.At); err != nil {
			return err
		}
		made.At = made.At.UTC()
		m := made.Machine
		w.last.Queue(addFittingSQL, made.ID, made.At, made.By, m.Brand, m.Model, m.Variant,
			made.Model.Brand, made.Model.Model, made.Model.Variant, m.Made.Text, m.Serial, notNull(m.Plug), m.OldPart, made.Build,
			made.PartNumber, made.Revision, made.BoardSerial, made.Family, notNull(made.Code), string(made.Pattern), made.Reading,
			string(made.Tally), string(made.Outcome), made.Cause, made.Note, made.Reference)
		w.changed("fittings", fittingKeyJSON{made.ID}, nil, fittingJSONOf(made))
		return nil
	})
	return made, err
}

// notNull returns a list that is not nil, so that it is not stored as NULL.
func notNull[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// FittingOf returns one fitting. Where there is none it is an error (CodeNotFound).
func (s *Store) FittingOf(ctx context.Context, id int64) (standin.Fitting, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	f, err := readFitting(ctx, s.pool, fittingSQL, id)
	return f, pg.Translate(err)
}

// ListFittings returns at most limit fittings that match a filter, in the order in
// which they were recorded, those after a number.
func (s *Store) ListFittings(ctx context.Context, filter standin.FittingFilter, after int64, limit int) ([]standin.Fitting, error) {
	m := filter.Model
	return db.Rows(ctx, s.db, scanFitting, listFittingsSQL, m.Brand, m.Model, m.Variant, filter.PartNumber, string(filter.Outcome), after, limit)
}

// SetResult records what became of a fitting. Where there is none it is an error
// (CodeNotFound).
func (s *Store) SetResult(ctx context.Context, id int64, result standin.FittingResult, by string) (f standin.Fitting, err error) {
	if err := result.Check(); err != nil {
		return f, err
	}
	err = s.inTx(ctx, by, func(ctx context.Context, w *work) error {
		before, err := readFitting(ctx, w.tx, lockFittingSQL, id)
		if err != nil {
			return err
		}
		f = before
		f.FittingResult = result
		if before.FittingResult == result {
			return nil
		}
		w.last.Queue(setResultSQL, id, string(result.Outcome), result.Cause, result.Note)
		w.changed("fittings", fittingKeyJSON{id}, fittingJSONOf(before), fittingJSONOf(f))
		return nil
	})
	return f, err
}

func readFitting(ctx context.Context, from querier, sql string, id int64) (standin.Fitting, error) {
	rows, err := from.Query(ctx, sql, id)
	if err != nil {
		return standin.Fitting{}, err
	}
	f, err := pgx.CollectExactlyOneRow(rows, scanFitting)
	if pg.IsNoRows(err) {
		return f, refuse(standin.CodeNotFound, "id", fmt.Sprintf("there is no fitting %d", id))
	}
	return f, err
}

func scanFitting(row pgx.CollectableRow) (f standin.Fitting, err error) {
	m := &f.Machine
	err = row.Scan(&f.ID, &f.At, &f.By, &m.Brand, &m.Model, &m.Variant, &f.Model.Brand, &f.Model.Model, &f.Model.Variant,
		&m.Made.Text, &m.Serial, &m.Plug, &m.OldPart, &f.Build, &f.PartNumber, &f.Revision, &f.BoardSerial, &f.Family, &f.Code,
		&f.Pattern, &f.Reading, &f.Tally, &f.Outcome, &f.Cause, &f.Note, &f.Reference)
	f.At = f.At.UTC()
	return f, err
}

type fittingKeyJSON struct {
	Fitting int64 `json:"fitting"`
}

// fittingJSON is a fitting as the feed has it.
type fittingJSON struct {
	Fitting     int64     `json:"fitting"`
	At          time.Time `json:"at"`
	By          string    `json:"by"`
	Brand       string    `json:"brand"`
	Model       string    `json:"model"`
	Variant     string    `json:"variant"`
	Made        string    `json:"made"`
	Serial      string    `json:"serial"`
	Plug        []int     `json:"plug"`
	OldPart     string    `json:"old_part"`
	Build       string    `json:"build"`
	PartNumber  string    `json:"part_number"`
	Revision    string    `json:"revision"`
	BoardSerial string    `json:"board_serial"`
	Family      string    `json:"family"`
	Code        []string  `json:"code"`
	Pattern     string    `json:"pattern"`
	Reading     string    `json:"reading"`
	Tally       string    `json:"tally"`
	Outcome     string    `json:"outcome"`
	Cause       string    `json:"cause"`
	Note        string    `json:"note"`
	Reference   string    `json:"reference"`
}

func fittingJSONOf(f standin.Fitting) fittingJSON {
	m := f.Machine
	return fittingJSON{
		f.ID, f.At, f.By, m.Brand, m.Model, m.Variant, m.Made.Text, m.Serial, notNull(m.Plug), m.OldPart, f.Build, f.PartNumber, f.Revision,
		f.BoardSerial, f.Family, notNull(f.Code), string(f.Pattern), f.Reading, string(f.Tally), string(f.Outcome), f.Cause, f.Note, f.Reference,
	}
}
