package main

import (
	"encoding/json"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/urfave/cli/v3"

	"standin/db/dbtest"
)

func TestToken(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	at := func(args ...string) ran { return run(t, append(args, "--database-url", url)...) }
	added := at("token", "add", "till", "--scope", "stock,fittings", "--location", "front", "--expires", "2999-01-31")
	if added.status != 0 || !strings.HasPrefix(added.stdout, "standin_1_") || strings.Count(added.stdout, "\n") != 1 {
		t.Fatalf("add: %+v", added)
	}
	secret := strings.TrimSpace(added.stdout)
	listed := at("token", "list")
	for _, want := range []string{"till", "stock, fittings", "at front alone", "2999-02-01 00:00 UTC", "never"} {
		if !strings.Contains(listed.stdout, want) {
			t.Errorf("the list lacks %q:\n%s", want, listed.stdout)
		}
	}
	if strings.Contains(listed.stdout, secret) {
		t.Error("the list shows the secret")
	}
	if got := at("token", "add", "till", "--scope", "read"); got.status != 1 || !strings.Contains(got.stderr, `there is a token "till"`) {
		t.Errorf("the name again: %+v", got)
	}
	if got := at("token", "revoke", "till"); got.status != 0 {
		t.Errorf("revoke: %+v", got)
	}
	var shown struct{ Tokens []tokenJSON }
	if err := json.Unmarshal([]byte(at("token", "list", "--json").stdout), &shown); err != nil || len(shown.Tokens) != 1 || shown.Tokens[0].Revoked == "" {
		t.Errorf("%v: %+v", err, shown)
	}
}

func TestTokenMisused(t *testing.T) {
	t.Parallel()
	for args, says := range map[string]string{
		"token add":                                 "give the name of the program or person",
		"token add till":                            "--scope: a token needs a scope; there are read, stock,",
		"token add till --scope write":              `--scope: there is no scope "write"`,
		"token add till --scope read --expires now": `--expires: "now" is neither a day as 2027-01-31`,
		"token revoke":                              "give the name of the token",
	} {
		got := run(t, strings.Fields(args)...)
		checkSentence(t, got)
		if got.status != statusUsage || !strings.Contains(got.stderr, says) {
			t.Errorf("%s: status %d, %s", args, got.status, got.stderr)
		}
	}
}

func TestExpiry(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	for text, want := range map[string]string{
		"": "0001-01-01T00:00:00Z", "90d": "2026-05-30T12:00:00Z", "12h": "2026-03-02T00:00:00Z", "2027-01-31": "2027-02-01T00:00:00Z",
	} {
		if got, err := expiry(text, now); err != nil || got.Format(time.RFC3339) != want {
			t.Errorf("%q: %v, %v, want %s", text, got, err, want)
		}
	}
}

// Reading is open on loopback alone, unless it is said.
func TestNeedsToken(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		address, said string
		want          bool
	}{
		{"127.0.0.1", "", false}, {"::1", "", false}, {"127.0.0.2", "", false},
		{"0.0.0.0", "", true}, {"::", "", true}, {"192.0.2.1", "", true},
		{"127.0.0.1", "token", true}, {"0.0.0.0", "open", false},
	} {
		var got bool
		command := &cli.Command{Name: "serve", Flags: []cli.Flag{readingFlag()}}
		if err := command.Set(flagReading, c.said); err != nil {
			t.Fatal(err)
		}
		got, err := needsToken(command, &net.TCPAddr{IP: net.ParseIP(c.address)})
		if got != c.want || err != nil {
			t.Errorf("at %s, said %q: %v, %v", c.address, c.said, got, err)
		}
	}
}
