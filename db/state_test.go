package db

import (
	"strings"
	"testing"

	"standin"
	"standin/db/dbtest"
	"standin/migrations"
)

func TestState(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	got, err := db.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if want := (standin.State{Catalogue: 12, Stock: 3}); got != want {
		t.Errorf("state %+v, want %+v", got, want)
	}
}

// A change of the state is told to those who listen.
func TestStateIsTold(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	conn, err := db.pool.Acquire(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Release()
	if _, err := conn.Exec(t.Context(), `LISTEN catalogue_state`); err != nil {
		t.Fatal(err)
	}
	exec(t, db, `UPDATE catalogue_state SET stock = stock + 1`)
	told, err := conn.Conn().WaitForNotification(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if told.Payload != "12 4" {
		t.Errorf("told %q, want %q", told.Payload, "12 4")
	}
}

func TestReady(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, change, says string
	}{
		{"as it should be", "", ""},
		{"older", "UPDATE schema_migrations SET version = 0", "migrate up"},
		{"newer", "UPDATE schema_migrations SET version = 900001", "use a newer standin"},
		{"broken off", "UPDATE schema_migrations SET dirty = true", "broken off half-way"},
		{"taken down", "TRUNCATE schema_migrations", "no schema yet"},
		{"never migrated", "DROP TABLE schema_migrations", "no schema yet"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			db := openEmpty(t)
			exec(t, db, tt.change)
			err := db.Ready(t.Context())
			if tt.says == "" {
				if err != nil {
					t.Error(err)
				}
				return
			}
			if standin.CodeOf(err) != standin.CodeSchema || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%v, want schema and %q", err, tt.says)
			}
		})
	}
}

func TestSchemaVersionIsTheLastMigration(t *testing.T) {
	t.Parallel()
	status, err := migrations.StatusOf(t.Context(), dbtest.Empty(t))
	if err != nil {
		t.Fatal(err)
	}
	if status.Latest != schemaVersion {
		t.Errorf("schemaVersion is %d and the last migration %d", schemaVersion, status.Latest)
	}
}
