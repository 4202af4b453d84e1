package api_test

import (
	"testing"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/importer"
)

// stores are the catalogue in memory and the same one in PostgreSQL.
func stores(t testing.TB) map[string]standin.Catalogue {
	t.Helper()
	return map[string]standin.Catalogue{"memory": newCatalogue(), "postgres": imported(t, "testdata/bundle")}
}

// imported is a fresh database with a bundle in it.
func imported(t testing.TB, path string) *db.DB {
	t.Helper()
	return importedAt(t, dbtest.New(t), path)
}

// importedAt is the database at a URL with a bundle in it.
func importedAt(t testing.TB, url, path string) *db.DB {
	t.Helper()
	store, err := db.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	report, err := importer.Run(t.Context(), bundle.NewStore(store), []string{path}, importer.Options{By: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if !report.Committed {
		t.Fatalf("the bundle was not imported: %+v", report.Findings)
	}
	return store
}
