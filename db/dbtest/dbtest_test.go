package dbtest

import (
	"testing"

	"github.com/jackc/pgx/v5"
)

// Each test has a database of its own: what one commits the other does not see.
func TestDatabasesAreSeparate(t *testing.T) {
	t.Parallel()
	first, second := connect(t, New(t)), connect(t, New(t))
	if _, err := first.Exec(t.Context(), "CREATE TABLE only_here ()"); err != nil {
		t.Fatal(err)
	}
	if tableExists(t, second, "only_here") {
		t.Error("a table made in one test's database exists in the other's")
	}
	if !tableExists(t, first, "only_here") {
		t.Error("the table does not exist where it was made")
	}
}

func TestDatabaseIsDropped(t *testing.T) {
	t.Parallel()
	var url string
	t.Run("a test", func(t *testing.T) {
		url = Empty(t)
		connect(t, url)
	})
	if conn, err := pgx.Connect(t.Context(), url); err == nil {
		conn.Close(t.Context())
		t.Errorf("%s is still there after its test", url)
	}
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(t.Context()) })
	return conn
}

func tableExists(t *testing.T, conn *pgx.Conn, name string) bool {
	t.Helper()
	var exists bool
	if err := conn.QueryRow(t.Context(), "SELECT to_regclass($1) IS NOT NULL", name).Scan(&exists); err != nil {
		t.Fatal(err)
	}
	return exists
}
