package main

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	_ "github.com/jackc/pgx/v5/stdlib"

	"standin/db/dbtest"
)

// TestSchema asks a database whose schema is not this program's.
func TestSchema(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		prepare string // SQL on a migrated database
		says    string
	}{
		{"half-migrated", "UPDATE schema_migrations SET dirty = true", "broken off half-way"},
		{"newer", "UPDATE schema_migrations SET version = 900000", "newer than"},
		{"older", "UPDATE schema_migrations SET version = 0", "run standin migrate up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			at := dbtest.New(t)
			execute(t, at, c.prepare)
			checkRefused(t, at, c.says)
		})
	}
}

func checkRefused(t *testing.T, at, says string) {
	t.Helper()
	for _, args := range []string{"fit --brand B --model M", "serve --listen 127.0.0.1:0", "imports", "import ."} {
		got := run(t, append(strings.Fields(args), "--database-url", at)...)
		checkSentence(t, got)
		if got.status != statusFailed || !strings.Contains(got.stderr, says) {
			t.Errorf("%s: status %d, stderr %q; want %d and %q", args, got.status, got.stderr, statusFailed, says)
		}
	}
}

func TestMigrate(t *testing.T) {
	t.Parallel()
	at := dbtest.Empty(t)
	checkRefused(t, at, "run standin migrate up")
	checkSays(t, run(t, "migrate", "status", "--database-url", at), statusAnswered, "the schema is version 0 of", "standin migrate up takes it on")
	checkSays(t, run(t, "migrate", "up", "--database-url", at), statusAnswered, "the schema is version")
	checkSays(t, run(t, "migrate", "up", "--database-url", at), statusAnswered, "the schema is version")
	checkSays(t, run(t, "imports", "--database-url", at), statusAnswered, "Nothing has been imported yet")
	var status struct {
		Version, Latest uint
		Dirty           bool
	}
	decode(t, run(t, "migrate", "status", "--json", "--database-url", at).stdout, &status)
	if status.Version != status.Latest || status.Latest == 0 || status.Dirty {
		t.Errorf("status %+v, want the latest version", status)
	}
	checkSays(t, run(t, "migrate", "down", "--database-url", at), statusAnswered, "standin migrate up takes it on")
	checkSays(t, run(t, "migrate", "down", "--steps", "1000", "--database-url", at), statusAnswered, "the schema is version 0 of")
}

func TestMigrateRefuses(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	execute(t, at, "UPDATE schema_migrations SET version = 900000")
	got := run(t, "migrate", "up", "--database-url", at)
	checkSentence(t, got)
	if got.status != statusFailed || !strings.Contains(got.stderr, "newer") {
		t.Errorf("status %d, stderr %q; want %d and that it is newer", got.status, got.stderr, statusFailed)
	}
	checkSays(t, run(t, "migrate", "status", "--database-url", at), statusAnswered, "newer than the")
}

func execute(t *testing.T, at, statement string) {
	t.Helper()
	conn, err := sql.Open("pgx/v5", at)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(t.Context(), statement); err != nil {
		t.Fatal(err)
	}
}

// A migration that is stopped as by Ctrl-C, and one that waits for a lock, say in a
// sentence at which version the schema is, which is the one it is at.
func TestMigrateBesideALock(t *testing.T) {
	t.Parallel()
	at := dbtest.Empty(t)
	checkSays(t, run(t, "migrate", "up", "--database-url", at), statusAnswered, "the schema is version")
	latest := versionOf(t, at)
	checkSays(t, run(t, "migrate", "down", "--steps", "5", "--database-url", at), statusAnswered, "the schema is version")
	below := versionOf(t, at)
	conn, err := pgx.Connect(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	if _, err := conn.Exec(t.Context(), `BEGIN; LOCK TABLE models, builds, configurations, boards IN ACCESS SHARE MODE`); err != nil {
		t.Fatal(err)
	}
	got := run(t, "migrate", "up", "--database-url", dbtest.With(t, at, "lock_timeout", "100ms"))
	checkSentence(t, got)
	stays := versionOf(t, at)
	if stays < below || stays >= latest || got.status != statusFailed || !strings.Contains(got.stderr, fmt.Sprintf("stays at version %d, because another session holds a lock", stays)) {
		t.Errorf("beside a lock: status %d, %q, and the version is %d", got.status, got.stderr, stays)
	}

	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan ran)
	patient := dbtest.With(t, at, "lock_timeout", "0")
	go func() { ended <- runIn(ctx, "migrate", "up", "--database-url", patient) }()
	watch, err := pgx.Connect(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { watch.Close(context.Background()) })
	for waiting := false; !waiting; time.Sleep(10 * time.Millisecond) {
		select {
		case got := <-ended:
			t.Fatalf("it does not wait for the lock: status %d, %q", got.status, got.stderr)
		default:
		}
		if err := watch.QueryRow(t.Context(), `SELECT EXISTS (SELECT FROM pg_locks WHERE NOT granted AND database = (SELECT oid FROM pg_database WHERE datname = current_database()))`).Scan(&waiting); err != nil {
			t.Fatal(err)
		}
	}
	stop()
	got = <-ended
	checkSentence(t, got)
	if now := versionOf(t, at); now != stays || got.status != statusFailed || !strings.Contains(got.stderr, fmt.Sprintf("stopped before it was done; the schema is version %d of", stays)) {
		t.Errorf("stopped: status %d, %q, and the version is %d", got.status, got.stderr, now)
	}
}

func versionOf(t *testing.T, at string) uint {
	t.Helper()
	var status struct{ Version uint }
	decode(t, run(t, "migrate", "status", "--json", "--database-url", at).stdout, &status)
	return status.Version
}
