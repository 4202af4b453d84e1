package bundle

import (
	"context"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/internal/pg"
)

// snapshot is a read-only view of the catalogue at one moment: every query sees the
// same state. It needs no temporary tables, so it works on a standby.
type snapshot struct{ work }

// openSnapshot opens a snapshot of one family or, where that is empty, of all.
// The caller must close it. A family that does not exist is an error (CodeNotFound).
func (s *Store) openSnapshot(ctx context.Context, family string) (*snapshot, error) {
	tx, err := s.pool.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly})
	if err != nil {
		return nil, pg.Translate(err)
	}
	snap := &snapshot{work{tx: tx}}
	if err := snap.prepare(ctx, family); err != nil {
		snap.close(ctx)
		return nil, err
	}
	return snap, nil
}

func (s *snapshot) close(ctx context.Context) { pg.Rollback(ctx, s.tx) }

// prepare prepares the transaction and sets the name of the family in it, where
// theFamily finds it.
func (s *snapshot) prepare(ctx context.Context, family string) error {
	if err := s.setUp(ctx); err != nil || family == "" {
		return err
	}
	n, err := s.execCount(ctx, "SELECT set_config('standin.family', family, true) FROM families WHERE family = $1", family)
	if err == nil && n == 0 {
		err = &standin.Error{Code: standin.CodeNotFound, Field: "family", Message: fmt.Sprintf("there is no family %s", family)}
	}
	return err
}

// theFamily is the name of the family that a snapshot is of.
const theFamily = `current_setting('standin.family') COLLATE "C"`

// define makes named subqueries available to every later query.
func (s *snapshot) define(named []string) {
	s.with = "WITH " + strings.Join(named, ",\n") + "\n"
}
