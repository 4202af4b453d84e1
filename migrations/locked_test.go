package migrations_test

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/golang-migrate/migrate/v4/database"

	"standin/db/dbtest"
	"standin/migrations"
)

// impatient is a database URL by which nobody waits for a lock for long.
func impatient(t *testing.T, url string) string {
	t.Helper()
	return dbtest.With(t, url, "lock_timeout", "200ms")
}

// holding is a session amid a transaction, which holds what the statement locks.
func holding(t *testing.T, url, statement string) *sql.Conn {
	t.Helper()
	conn, err := open(t, url).Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	for _, sql := range []string{"BEGIN", statement} {
		if _, err := conn.ExecContext(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	return conn
}

// everyTable is the lock of a session that reads: no step that alters one of these
// tables goes on beside it.
const everyTable = "LOCK TABLE models, builds, configurations, boards, catalogue_state IN ACCESS SHARE MODE"

// A lock that another session holds is not waited for for ever; the error says at
// which version the schema stays, and there it is.
func TestHeldLockIsNotAwaitedForEver(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	before := statusOf(t, url)
	conn := holding(t, url, everyTable)
	for before.Version > 0 { // down to a step that needs the lock
		err := migrations.Down(t.Context(), impatient(t, url), 1)
		if err == nil {
			before = statusOf(t, url)
			continue
		}
		if !strings.Contains(err.Error(), "another session holds a lock") || !strings.Contains(err.Error(), "the schema stays at version") {
			t.Errorf("down: %v, want it to say that another session holds a lock and where the schema stands", err)
		}
		break
	}
	if got := statusOf(t, url); got != before || got.Dirty || got.Version == 0 {
		t.Errorf("status %+v, want %+v", got, before)
	}
	conn.ExecContext(t.Context(), "ROLLBACK")
	up(t, url)
}

// Another migration is not waited for for ever either, and does not keep the version
// from being told.
func TestOtherMigrationIsNotAwaitedForEver(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	conn := holding(t, url, migrationLock(t, url))
	for _, err := range []error{migrations.Up(t.Context(), impatient(t, url)), migrations.Down(t.Context(), impatient(t, url), 1)} {
		if err == nil || !strings.Contains(err.Error(), "another session is migrating") {
			t.Errorf("%v, want it to say that another session is migrating", err)
		}
	}
	if got := statusOf(t, url); got.Version != got.Latest || got.Dirty {
		t.Errorf("status %+v", got)
	}
	// Amid a step of the other, nobody knows yet what will be.
	exec(t, open(t, url), "UPDATE schema_migrations SET dirty = true")
	if got, err := migrations.StatusOf(t.Context(), impatient(t, url)); err == nil || !strings.Contains(err.Error(), "another session is migrating") {
		t.Errorf("amid a step: %+v, %v", got, err)
	}
	conn.ExecContext(t.Context(), "ROLLBACK")
	if got := statusOf(t, url); !got.Dirty {
		t.Errorf("status %+v, and the step was broken off", got)
	}
}

// A migration whose context ends while it waits ends at once, and leaves the schema
// at the version that it says.
func TestCancelledMigration(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, lock string }{
		{"for a table", everyTable},
		{"for another migration", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			url := dbtest.New(t)
			lock := test.lock
			if lock == "" {
				lock = migrationLock(t, url)
			}
			holding(t, url, lock)
			ctx, cancel := context.WithCancel(t.Context())
			ended := make(chan error)
			// No end by itself: without a lock's time-out it would wait for ever.
			go func() { ended <- migrations.Down(ctx, dbtest.With(t, url, "lock_timeout", "0"), 1_000_000) }()
			awaitWaiting(t, url)
			cancel()
			select {
			case err := <-ended:
				if !errors.Is(err, context.Canceled) {
					t.Errorf("%v, want that it was cancelled", err)
				}
			case <-time.After(time.Minute):
				t.Fatal("it goes on")
			}
			if got := statusOf(t, url); got.Dirty || got.Version == 0 {
				t.Errorf("status %+v", got)
			}
		})
	}
}

// migrationLock is the statement that takes the lock by which migrations are kept
// apart.
func migrationLock(t *testing.T, url string) string {
	t.Helper()
	var name string
	if err := open(t, url).QueryRowContext(t.Context(), "SELECT current_database()").Scan(&name); err != nil {
		t.Fatal(err)
	}
	id, err := database.GenerateAdvisoryLockId(name, "public", "schema_migrations")
	if err != nil {
		t.Fatal(err)
	}
	return "SELECT pg_advisory_xact_lock(" + id + ")"
}

// awaitWaiting waits until some session of the database waits for a lock.
func awaitWaiting(t *testing.T, url string) {
	t.Helper()
	db := open(t, url)
	for range 3000 {
		var waiting bool
		if err := db.QueryRowContext(t.Context(), `SELECT EXISTS (SELECT FROM pg_locks l JOIN pg_stat_activity a USING (pid)
			WHERE NOT l.granted AND a.datname = current_database())`).Scan(&waiting); err != nil {
			t.Fatal(err)
		}
		if waiting {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("nobody waits")
}
