package shop_test

import (
	"testing"

	"standin/db"
	"standin/db/dbtest"
	"standin/db/shop"
)

// open is the shop in a database of its own.
func open(t testing.TB) (*shop.Store, *db.DB) {
	t.Helper()
	return openAt(t, dbtest.New(t))
}

// openAt is the shop in a database, over connections of its own: a second one is
// what a second server is.
func openAt(t testing.TB, url string) (*shop.Store, *db.DB) {
	t.Helper()
	database, err := db.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(database.Close)
	return shop.NewStore(database), database
}

func exec(t testing.TB, database *db.DB, sql string, args ...any) {
	t.Helper()
	if _, err := database.Pool().Exec(t.Context(), sql, args...); err != nil {
		t.Fatalf("%v\nin: %.300s", err, sql)
	}
}

// value is the one value that a query has.
func value[T any](t testing.TB, database *db.DB, sql string, args ...any) (v T) {
	t.Helper()
	if err := database.Pool().QueryRow(t.Context(), sql, args...).Scan(&v); err != nil {
		t.Fatalf("%v\nin: %.300s", err, sql)
	}
	return v
}
