package main

import (
	"database/sql"
	"strings"
	"testing"

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
