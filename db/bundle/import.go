package bundle

import (
	"context"
	"errors"
	"time"

	"standin"
	"standin/db"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"
)

// importLock is the advisory lock that one import at a time holds. The number is
// arbitrary; nothing else in the database uses it.
const importLock = 0x62756e646c65 // "bundle"

// turnWait is how long an import waits for another to end, and askTurnAgain how
// often it looks.
const (
	turnWait     = 3 * time.Second
	askTurnAgain = 100 * time.Millisecond
)

// importTx is an import in progress: one transaction, and what was staged in it. The
// bundle is staged, then sealed, which compares it with what is stored, then
// checked, then committed.
type importTx struct {
	inspection
	request standin.ImportRequest
	undoes  int64 // the import that this one undoes; 0: none

	staged  map[string]bool  // by File.Name, those that have a stage
	absent  map[string]int64 // by File.Name, the columns that some row does not have
	sealed  bool
	counts  []fileCount // of the staged files, in the order of standin.Files
	removes bool        // some stored row is to be removed
	clean   bool        // checked, and nothing was found

	catalogue *db.DB // notified of a commit
}

// OpenImport begins the one transaction of an import. While another import is open it
// is an error (CodeConflict).
func (s *Store) OpenImport(ctx context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	t, err := s.openImport(ctx, request)
	if err != nil {
		return nil, err // not t: a nil *importTx in an interface is not nil
	}
	return t, nil
}

func (s *Store) openImport(ctx context.Context, request standin.ImportRequest) (*importTx, error) {
	tx, err := s.pool.Begin(ctx)
	if err != nil {
		return nil, pg.Translate(err)
	}
	t := &importTx{catalogue: s.catalogue, request: request, staged: map[string]bool{}, absent: map[string]int64{}}
	t.inspection = inspection{work: work{tx: tx}, reviews: func(file string) bool { return t.changes(file) || t.countOf(file).leftOut > 0 }}
	if err := t.begin(ctx); err != nil {
		_ = t.Rollback() // the first error says what was wrong
		return nil, err
	}
	return t, nil
}

// begin prepares the transaction and takes the lock.
func (t *importTx) begin(ctx context.Context) error {
	if err := t.setUp(ctx); err != nil {
		return err
	}
	return t.takeTurn(ctx)
}

// takeTurn has this import be the only one. It waits a moment for another: one that
// was given up may still be taken back. An upload waits until the other has ended.
func (t *importTx) takeTurn(ctx context.Context) error {
	for waiting := time.Duration(0); ; waiting += askTurnAgain {
		var free bool
		if err := t.queryRow(ctx, "SELECT pg_try_advisory_xact_lock($1)", int64(importLock)).Scan(&free); err != nil || free {
			return pg.Translate(err)
		}
		if waiting >= turnWait && t.request.Upload == "" {
			return conflict("another import is under way; try again when it has ended")
		}
		select {
		case <-ctx.Done():
			return pg.Translate(ctx.Err())
		case <-time.After(askTurnAgain):
		}
	}
}

// Rollback ends the import and leaves everything as it was. After Commit it does
// nothing.
func (t *importTx) Rollback() error {
	// The context of the import may be the very reason for the rollback.
	ctx, cancel := context.WithTimeout(context.Background(), pg.RollbackTimeout)
	defer cancel()
	if err := t.tx.Rollback(ctx); err != nil && !errors.Is(err, pgx.ErrTxClosed) {
		return pg.Translate(err)
	}
	return nil
}

// Families returns the families that are stored now, by name.
func (t *importTx) Families(ctx context.Context) (map[string]standin.Family, error) {
	rows, err := t.query(ctx, `SELECT family, coalesce(title, ''), selector, code_length, readback,
		coalesce(array_to_string(alphabet, ' '), ''), coalesce(procedure, ''), coalesce(note, '') FROM bundle.families`)
	if err != nil {
		return nil, pg.Translate(err)
	}
	all, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (f standin.Family, err error) {
		var alphabet string
		if err := row.Scan(&f.Name, &f.Title, &f.Selector, &f.CodeLength, &f.Readback, &alphabet, &f.Procedure, &f.Note); err != nil {
			return f, err
		}
		return f, pg.ReadAlphabet(&f, alphabet)
	})
	families := make(map[string]standin.Family, len(all))
	for _, f := range all {
		families[f.Name] = f
	}
	return families, pg.Translate(err)
}
