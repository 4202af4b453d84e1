package page_test

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"standin"
	"standin/api"
	"standin/cmd/standin/demo"
	"standin/db"
	stored "standin/db/bundle"
	"standin/db/dbtest"
	"standin/importer"
)

// TestMain gives the tests their database server.
func TestMain(m *testing.M) { os.Exit(runTests(m)) }

func runTests(m *testing.M) int {
	defer browser.close()
	return m.Run()
}

// over is the whole HTTP handler over a catalogue, pages and API.
func over(t testing.TB, c standin.Catalogue) http.Handler {
	t.Helper()
	handler, err := api.New(api.Config{Catalogue: c, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return handler
}

// demoStore is the demo's catalogue in a database of the test's own.
func demoStore(t testing.TB) *db.DB {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, demo.Bundle); err != nil {
		t.Fatal(err)
	}
	return imported(t, filepath.Join(dir, demo.BundleDir))
}

// imported is a database of the test's own with a bundle in it.
func imported(t testing.TB, path string) *db.DB {
	t.Helper()
	store, err := db.Open(t.Context(), dbtest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	report, err := importer.Run(t.Context(), stored.NewStore(store), []string{path}, importer.Options{By: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if report.Errors > 0 {
		t.Fatalf("the bundle has errors: %+v", report.Findings)
	}
	return store
}

// shown is a page as it was sent.
type shown struct {
	*httptest.ResponseRecorder
	*document
}

// get is the page at an address.
func get(t testing.TB, handler http.Handler, address string) shown {
	t.Helper()
	request := httptest.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	request.Header.Set("Accept", "text/html,*/*;q=0.8")
	recorded := httptest.NewRecorder()
	handler.ServeHTTP(recorded, request)
	return shown{recorded, parse(t, recorded.Body.String())}
}

// browser is the one Chromium of this test binary.
var browser chromium

// missing skips a test for which something is not installed, or with
// STANDIN_TEST_REQUIRE=1 fails it.
func missing(t testing.TB, reason string) {
	t.Helper()
	if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
		t.Fatal(reason)
	}
	t.Skip(reason)
}
