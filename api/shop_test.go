package api_test

import (
	"testing"

	"standin/api"
	"standin/db"
	"standin/db/shop"
)

// importedShop is a fresh database with a bundle in it, and a way to say
// something to it in SQL.
func importedShop(t testing.TB, bundle string) (*db.DB, func(sql string, args ...any)) {
	t.Helper()
	database := imported(t, bundle)
	return database, func(sql string, args ...any) {
		t.Helper()
		if _, err := database.Pool().Exec(t.Context(), sql, args...); err != nil {
			t.Fatal(err)
		}
	}
}

// shopConfig is the API over a database, shop and all.
func shopConfig(database *db.DB, guarded bool) api.Config {
	return api.Config{Catalogue: database, Tokens: shop.New(database), Guarded: guarded, Version: "test"}
}
