package db

import (
	_ "embed"
	"testing"

	"standin/db/dbtest"
)

//go:embed testdata/catalogue.sql
var smallCatalogue string

// openEmpty is a database of its own with the schema and nothing else.
func openEmpty(t testing.TB) *DB {
	t.Helper()
	db, err := Open(t.Context(), dbtest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(db.Close)
	return db
}

// openSmall is a database of its own with the catalogue of testdata.
func openSmall(t testing.TB) *DB {
	t.Helper()
	db := openEmpty(t)
	exec(t, db, smallCatalogue)
	return db
}

func exec(t testing.TB, db *DB, sql string, args ...any) {
	t.Helper()
	if _, err := db.pool.Exec(t.Context(), sql, args...); err != nil {
		t.Fatalf("%v\nin: %.300s", err, sql)
	}
}
