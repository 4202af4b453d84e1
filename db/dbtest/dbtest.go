// Package dbtest gives each test a PostgreSQL database of its own.
//
// A database is a clone of one template that holds the migrated schema, so that
// it costs tens of milliseconds, may be committed to, and is nobody else's. The
// server is, in this order, the one that STANDIN_TEST_DATABASE_URL names, one
// started from installed binaries, or a container; STANDIN_TEST_SERVER (url,
// installed or container) allows that one alone. Where there is none the test
// is skipped, or with STANDIN_TEST_REQUIRE=1 fails.
package dbtest

import (
	"context"
	"crypto/rand"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"
	"time"
)

// NoServer begins the reason for which a test is skipped.
const NoServer = "no PostgreSQL for tests: "

// patience bounds what is done for one test: the first may start a server.
const patience = 2 * time.Minute

// New returns the URL of a fresh database with the migrated schema. The
// database is dropped when the test ends.
func New(t testing.TB) string {
	t.Helper()
	return fresh(t, true)
}

// Empty returns the URL of a fresh database with nothing in it. The database is
// dropped when the test ends.
func Empty(t testing.TB) string {
	t.Helper()
	return fresh(t, false)
}

// Named is the URL of a database by which the server knows connections under a
// name (application_name), so that a test can find those of another program.
func Named(t testing.TB, at, name string) string {
	t.Helper()
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	query := u.Query()
	query.Set("application_name", name)
	u.RawQuery = query.Encode()
	return u.String()
}

func fresh(t testing.TB, migrated bool) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	s := serverFor(t)
	template := "template0"
	if migrated {
		var err error
		if template, err = s.template(ctx); err != nil {
			t.Fatalf("the template database: %v", err)
		}
	}
	name := "standin_test_" + strings.ToLower(rand.Text()[:16])
	if err := s.clone(ctx, name, template); err != nil {
		t.Fatalf("a database for this test: %v", err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		if err := s.drop(ctx, name); err != nil {
			t.Errorf("dropping this test's database: %v", err)
		}
	})
	return s.urlOf(name)
}

// shared is the server of this test binary, found or started by the first test
// that needs one.
var shared = sync.OnceValues(func() (*server, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return choose(ctx, os.Getenv)
})

func serverFor(t testing.TB) *server {
	t.Helper()
	s, err := shared()
	if err == nil {
		return s
	}
	if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
		t.Fatalf("%s%v", NoServer, err)
	}
	t.Skipf("%s%v", NoServer, err)
	return nil
}
