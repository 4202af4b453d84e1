package migrations

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/golang-migrate/migrate/v4"
	"github.com/golang-migrate/migrate/v4/database"
	migratepgx "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5/pgconn"
)

// lockTime is how long a statement waits for a lock that another session holds,
// unless the database URL sets lock_timeout itself.
const lockTime = 10 * time.Second

// Up takes the database to the latest version. It does nothing where the
// database is there already, and may be called by several programs at once. Where
// the context ends, the step that is being taken is rolled back and those before
// it stay.
func Up(ctx context.Context, url string) error {
	return with(ctx, url, func(m *migrator) error {
		for {
			// Not m.Up, which takes no notice of a context between the steps.
			if err := m.step(ctx, 1); errors.Is(err, fs.ErrNotExist) {
				return nil
			} else if err != nil {
				return err
			}
		}
	})
}

// Down takes the database so many steps back, and all that they hold with them;
// it stops at no schema.
func Down(ctx context.Context, url string, steps int) error {
	return with(ctx, url, func(m *migrator) error {
		for range steps {
			if err := m.step(ctx, -1); errors.Is(err, fs.ErrNotExist) {
				return nil
			} else if err != nil {
				return err
			}
		}
		return nil
	})
}

// migrator is a connection to a database and the steps to take it along.
type migrator struct {
	*migrate.Migrate
	latest uint
	sessions
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
	m := &migrator{latest: newest}
	// Through database/sql, because the library's own URLs know fewer forms.
	db, err := m.connect(url)
	if err != nil {
		return err
	}
	if err := db.PingContext(ctx); err != nil {
		return errors.Join(fmt.Errorf("the database cannot be reached: %w", err), db.Close())
	}
	var driver database.Driver
	err = m.interrupted(ctx, func() (err error) {
		driver, err = migratepgx.WithInstance(db, &migratepgx.Config{})
		return err
	})
	if err != nil {
		return errors.Join(cmp.Or(ctx.Err(), prepared(err)), db.Close())
	}
	m.Migrate, err = migrate.NewWithInstance("embedded", source, "database", driver)
	if err != nil {
		return errors.Join(err, driver.Close())
	}
	defer func() {
		sourceErr, databaseErr := m.Close()
		err = errors.Join(err, sourceErr, databaseErr)
	}()
	return do(m)
}

// prepared says why the database cannot be prepared for migration.
func prepared(err error) error {
	if stateOf(err) == lockNotAvailable {
		return errMigrating
	}
	return fmt.Errorf("the database cannot be prepared for migration: %w", err)
}

// step takes the database one step along, up (1) or down (-1). It is
// fs.ErrNotExist where there is none.
func (m *migrator) step(ctx context.Context, way int) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	outcome := m.interrupted(ctx, func() error { return m.Steps(way) })
	err := m.explain(outcome, -way)
	if err == nil {
		return nil
	}
	return cmp.Or(ctx.Err(), err)
}

func (m *migrator) status() (Status, error) {
	version, dirty, err := m.Version()
	if err != nil && !errors.Is(err, migrate.ErrNilVersion) {
		return Status{}, fmt.Errorf("the version of the database's schema cannot be read: %w", err)
	}
	return Status{Version: version, Latest: m.latest, Dirty: dirty}, nil
}

// explain says what the outcome of a step means. Where the server refused a
// statement, the step was rolled back as a whole: the database stands where it
// stood, back from the version it was going to, and is marked so again. Where it
// refused to mark a step as done, the step is done. Only where the connection broke
// does it stay dirty.
func (m *migrator) explain(outcome error, back int) error {
	switch {
	case outcome == nil:
		return nil
	case errors.Is(outcome, migrate.ErrNoChange):
		return fs.ErrNotExist
	}
	status, err := m.status()
	if err != nil {
		return errors.Join(outcome, err)
	}
	if failed, ok := errors.AsType[database.Error](outcome); ok && stateOf(failed.OrigErr) != "" {
		before := int(status.Version) + back
		return errors.Join(refused(failed.OrigErr, before), m.mark(before))
	}
	if failed, ok := errors.AsType[*database.Error](outcome); ok && stateOf(failed.OrigErr) != "" {
		// Locking, unlocking, or marking a step as begun or as done.
		err := refused(failed.OrigErr, int(status.Version))
		if status.Dirty {
			err = errors.Join(err, m.mark(int(status.Version)))
		}
		return err
	}
	if refusal := status.refusal(); refusal != nil {
		return refusal
	}
	return outcome
}

// mark records the version at which the schema is.
func (m *migrator) mark(version int) error {
	if version == 0 {
		version = database.NilVersion
	}
	return m.Force(version)
}

// errMigrating says who has the lock that keeps two migrations apart.
var errMigrating = errors.New("another session is migrating this database; wait until it is done or end it, then migrate again")

// refused says that the server refused a statement. It hides the server's error,
// lest a sentence about that alone be shown, which does not say where the schema is.
func refused(err error, version int) error {
	if stateOf(err) == lockNotAvailable {
		return fmt.Errorf("the schema stays at version %d, because another session holds a lock that the next step needs; wait until it is done or end it (pg_stat_activity lists it), then migrate again", version)
	}
	message := err.Error()
	if server, ok := errors.AsType[*pgconn.PgError](err); ok {
		message = server.Message
	}
	return fmt.Errorf("the schema stays at version %d: %s", version, message)
}

const (
	lockNotAvailable = "55P03"
	undefinedTable   = "42P01"
)

// stateOf is the SQLSTATE with which the server refused a statement, empty where it
// did not, because the connection broke, say.
func stateOf(err error) string {
	if server, ok := errors.AsType[*pgconn.PgError](err); ok {
		return server.Code
	}
	if failed, ok := errors.AsType[*database.Error](err); ok { // which does not unwrap
		return stateOf(failed.OrigErr)
	}
	if failed, ok := errors.AsType[database.Error](err); ok {
		return stateOf(failed.OrigErr)
	}
	return ""
}
