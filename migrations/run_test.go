package migrations_test

import (
	"database/sql"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin/db/dbtest"
	"standin/migrations"
)

func open(t *testing.T, url string) *sql.DB {
	t.Helper()
	db, err := sql.Open("pgx/v5", url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func exec(t *testing.T, db *sql.DB, statement string) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

// objects are the names of what the schema holds, schema_migrations and the
// extensions' own left out.
func objects(t *testing.T, db *sql.DB) []string {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), `
		SELECT kind || ' ' || name
		FROM (SELECT 'pg_class'::regclass AS class, oid, 'relation' AS kind, relname AS name, relnamespace AS namespace FROM pg_class
			UNION ALL SELECT 'pg_proc'::regclass, oid, 'function', proname, pronamespace FROM pg_proc
			UNION ALL SELECT 'pg_constraint'::regclass, oid, 'constraint', conname, connamespace FROM pg_constraint) AS object
		WHERE namespace = 'public'::regnamespace AND name NOT LIKE 'schema_migrations%'
			AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.classid = class AND d.objid = object.oid AND d.deptype = 'e')
		ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var names []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return names
}

func statusOf(t *testing.T, url string) migrations.Status {
	t.Helper()
	status, err := migrations.StatusOf(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	return status
}

func up(t *testing.T, url string) {
	t.Helper()
	if err := migrations.Up(t.Context(), url); err != nil {
		t.Fatalf("up: %v", err)
	}
}

func TestUpDownToZeroAndUpAgain(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	db := open(t, url)
	latest := statusOf(t, url).Latest

	up(t, url)
	first := objects(t, db)
	if len(first) < 24 {
		t.Fatalf("the schema has %d objects: %v", len(first), first)
	}
	if got, want := statusOf(t, url), (migrations.Status{Version: latest, Latest: latest}); got != want {
		t.Errorf("after up: %+v, want %+v", got, want)
	}

	if err := migrations.Down(t.Context(), url, int(latest)); err != nil {
		t.Fatalf("down: %v", err)
	}
	if left := objects(t, db); len(left) > 0 {
		t.Errorf("after down to zero there is left: %v", left)
	}
	if got, want := statusOf(t, url), (migrations.Status{Latest: latest}); got != want {
		t.Errorf("after down: %+v, want %+v", got, want)
	}
	if err := migrations.Down(t.Context(), url, 1); err != nil {
		t.Errorf("down from no schema: %v", err)
	}

	up(t, url)
	if diff := cmp.Diff(first, objects(t, db)); diff != "" {
		t.Errorf("up again differs from up (-first +again):\n%s", diff)
	}
	up(t, url)
}

func TestDownGoesOneStepAtATime(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	up(t, url)
	for want := statusOf(t, url).Latest; want > 0; {
		want--
		if err := migrations.Down(t.Context(), url, 1); err != nil {
			t.Fatal(err)
		}
		if got := statusOf(t, url).Version; got != want {
			t.Fatalf("version %d after a step down, want %d", got, want)
		}
	}
}

func TestManyProgramsMayMigrateAtOnce(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			if err := migrations.Up(t.Context(), url); err != nil {
				t.Errorf("one of several ups: %v", err)
			}
		})
	}
	all.Wait()
	if got := statusOf(t, url); got.Version != got.Latest || got.Dirty {
		t.Errorf("status %+v", got)
	}
}

func TestUnfitDatabasesAreRefused(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, change, says string
	}{
		{"newer than the program", "UPDATE schema_migrations SET version = 900001", "newer"},
		{"broken off", "UPDATE schema_migrations SET dirty = true", "broken off half-way"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			url := dbtest.Empty(t)
			up(t, url)
			exec(t, open(t, url), tt.change)
			if err := migrations.Up(t.Context(), url); err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("up: %v, want it to say %q", err, tt.says)
			}
			if err := migrations.Down(t.Context(), url, 1); err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("down: %v, want it to say %q", err, tt.says)
			}
		})
	}
}

// A step that the server refuses is rolled back whole, so the database is not
// left marked as broken off, and the step can be taken once the cause is gone.
func TestRefusedStepLeavesTheDatabaseAsItWas(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	db := open(t, url)
	exec(t, db, "CREATE TABLE stock ()") // in the way of the first step
	err := migrations.Up(t.Context(), url)
	if err == nil || !strings.Contains(err.Error(), `"stock" already exists`) {
		t.Errorf("up: %v, want it to name what is in the way", err)
	}
	if got := statusOf(t, url); got.Version != 0 || got.Dirty {
		t.Errorf("status %+v, want version 0, not dirty", got)
	}
	if got := objects(t, db); len(got) != 1 {
		t.Errorf("left behind: %v", got)
	}
	exec(t, db, "DROP TABLE stock")
	up(t, url)

	exec(t, db, "CREATE VIEW in_the_way AS SELECT part_id FROM stock")
	before := statusOf(t, url)
	if err := migrations.Down(t.Context(), url, int(before.Latest)); err == nil {
		t.Error("down: accepted, although a view is in the way")
	}
	if got := statusOf(t, url); got.Version != 1 || got.Dirty {
		t.Errorf("status %+v, want version 1, not dirty", got)
	}
	exec(t, db, "DROP VIEW in_the_way")
	up(t, url)
}

func TestUnreachableDatabase(t *testing.T) {
	t.Parallel()
	const nobody = "postgres://localhost:1/none?connect_timeout=2"
	if _, err := migrations.StatusOf(t.Context(), nobody); err == nil || !strings.Contains(err.Error(), "cannot be reached") {
		t.Errorf("status: %v, want it to say that the database cannot be reached", err)
	}
}
