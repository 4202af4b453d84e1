package dbtest

import (
	"net/url"
	"testing"
)

// With returns the URL of a database with one setting more, whether it has others
// or not.
func With(t testing.TB, at, setting, value string) string {
	t.Helper()
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	settings := u.Query()
	settings.Set(setting, value)
	u.RawQuery = settings.Encode()
	return u.String()
}
