package migrations

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"

	"github.com/golang-migrate/migrate/v4"
	"github.com/golang-migrate/migrate/v4/database"
	"github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
)

// Up takes the database to the latest version. It does nothing where the
// database is there already, and may be called by several programs at once.
func Up(ctx context.Context, url string) error {
	return with(ctx, url, func(m *migrator) error { return m.explain(m.Up(), -1) })
}

// Down takes the database so many steps back, and all that they hold with them;
// it stops at no schema.
func Down(ctx context.Context, url string, steps int) error {
	return with(ctx, url, func(m *migrator) error {
		for range steps {
			if err := m.explain(m.Steps(-1), 1); err != nil {
				return err
			}
		}
		return nil
	})
}

// StatusOf tells where the database stands.
func StatusOf(ctx context.Context, url string) (Status, error) {
	var status Status
	err := with(ctx, url, func(m *migrator) (err error) {
		status, err = m.status()
		return err
	})
	return status, err
}

// migrator is a connection to a database and the steps to take it along.
type migrator struct {
	*migrate.Migrate
	latest uint
}

// with opens the database, does what is asked, and closes it: a connection left
// open would keep the database from being dropped or cloned.
func with(ctx context.Context, url string, do func(*migrator) error) (err error) {
	newest, err := latest(FS)
	if err != nil {
		return err
	}
	source, err := iofs.New(FS, ".")
	if err != nil {
		return err
	}
	// Through database/sql, because the library's own URLs know fewer forms.
	db, err := sql.Open("pgx/v5", url)
	if err != nil {
		return fmt.Errorf("the database URL cannot be used: %w", err)
	}
	if err := db.PingContext(ctx); err != nil {
		return errors.Join(fmt.Errorf("the database cannot be reached: %w", err), db.Close())
	}
	driver, err := pgx.WithInstance(db, &pgx.Config{})
	if err != nil {
		return errors.Join(fmt.Errorf("the database cannot be prepared for migration: %w", err), db.Close())
	}
	m, err := migrate.NewWithInstance("embedded", source, "database", driver)
	if err != nil {
		return errors.Join(err, driver.Close())
	}
	defer func() {
		sourceErr, databaseErr := m.Close()
		err = errors.Join(err, sourceErr, databaseErr)
	}()
	return do(&migrator{m, newest})
}

func (m *migrator) status() (Status, error) {
	version, dirty, err := m.Version()
	if err != nil && !errors.Is(err, migrate.ErrNilVersion) {
		return Status{}, fmt.Errorf("the version of the database's schema cannot be read: %w", err)
	}
	return Status{Version: version, Latest: m.latest, Dirty: dirty}, nil
}

// explain says what the outcome of a migration means. Where the server refused
// a statement, the step was rolled back as a whole: the database stands where it
// stood, back from the version it was going to, and is marked so again. Only
// where the connection broke does it stay dirty.
func (m *migrator) explain(outcome error, back int) error {
	if outcome == nil || errors.Is(outcome, migrate.ErrNoChange) {
		return nil
	}
	status, err := m.status()
	if err != nil {
		return errors.Join(outcome, err)
	}
	if failed, ok := errors.AsType[database.Error](outcome); ok && isRefusal(failed.OrigErr) {
		before := int(status.Version) + back
		err := fmt.Errorf("the schema stays at version %d: %w", before, failed.OrigErr)
		if before == 0 {
			before = database.NilVersion
		}
		return errors.Join(err, m.Force(before))
	}
	if status == (Status{Latest: m.latest}) && errors.Is(outcome, fs.ErrNotExist) {
		return nil // a step down from no schema
	}
	return cmp.Or(status.refusal(), outcome)
}

// isRefusal tells a statement that the server refused from a broken connection.
func isRefusal(err error) bool {
	_, ok := errors.AsType[interface {
		error
		SQLState() string
	}](err)
	return ok
}
