package api_test

import (
	"crypto/rand"
	"net/http"
	"slices"
	"testing"

	"standin"
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
		database.Changed()
	}
}

// shopConfig is the API over a database, shop and all.
func shopConfig(database *db.DB, guarded bool) api.Config {
	return api.Config{Catalogue: database, Shop: shop.NewStore(database), Tokens: shop.NewStore(database), Guarded: guarded, Version: "test"}
}

// newShop is the API over a fresh database with a stock, every response held
// against the contract, and tokens: each shown as the name of its scope.
func newShop(t testing.TB) (http.Handler, *db.DB, func(sql string, args ...any)) {
	t.Helper()
	database, exec := importedShop(t, "testdata/bundle")
	config := shopConfig(database, false)
	known := newTokens()
	known["front"] = standin.Token{ID: 90, Name: "front desk", Scopes: []standin.Scope{standin.ScopeStock}, Location: "front"}
	config.Tokens = known
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	return held(t, handler), database, exec
}

// as is a call with a token, and with an idempotency key of its own where it has
// none and may need one.
func as(token, method, target, body string, header ...string) call {
	header = append(header, "Authorization", "Bearer "+token)
	if method == http.MethodPost && !slices.Contains(header, "Idempotency-Key") {
		header = append(header, "Idempotency-Key", rand.Text())
	}
	return call{method: method, target: target, body: body, header: header}
}
