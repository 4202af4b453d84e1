package api_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"standin/api"
)

type changesBody struct {
	Changes []struct {
		By, Kind           string
		Import             *int64
		Key, Before, After json.RawMessage
	}
	Next string
}

func changes(t *testing.T, r *response) (body changesBody) {
	t.Helper()
	if err := json.Unmarshal(r.Body.Bytes(), &body); err != nil || r.Code != 200 {
		t.Fatalf("status %d, %v: %.300s", r.Code, err, r.Body)
	}
	return body
}

// A copy that is begun from nothing has every row of the bundle, and what
// happened since.
func TestChanges(t *testing.T) {
	t.Parallel()
	handler, _, _ := newShop(t)
	copied := map[string]string{}
	next := ""
	follow := func() (n int) {
		for {
			target := "/v1/changes?limit=7"
			if next != "" {
				target += "&after=" + url.QueryEscape(next)
			}
			got := changes(t, get(t, handler, target))
			for _, c := range got.Changes {
				if (c.Import == nil) != (c.By != "test") {
					t.Errorf("by %s, import %v", c.By, c.Import)
				}
				copied[c.Kind+string(c.Key)] = string(c.After)
			}
			if n += len(got.Changes); got.Next == next || len(got.Changes) == 0 {
				return n
			}
			next = got.Next
		}
	}
	if n := follow(); n < 50 {
		t.Errorf("the bundle has %d rows", n)
	}
	as("stock", "POST", "/v1/stock/moves", soldOne).do(t, handler)
	held := as("stock", "POST", "/v1/holds", holdBody(1, time.Hour)).do(t, handler)
	fitted := as("fittings", "POST", "/v1/fittings", fittedOne).do(t, handler)
	if n := follow(); n != 3 {
		t.Errorf("%d changes, want 3", n)
	}
	for kind, want := range map[string]*response{"holds": held, "fittings": fitted} {
		found := false
		for key, row := range copied {
			if strings.HasPrefix(key, kind) {
				found = true
				if got, want := sorted(t, row), sorted(t, want.Body.String()); got != want {
					t.Errorf("%s: the change has\n%s, the call\n%s", kind, got, want)
				}
			}
		}
		if !found {
			t.Errorf("no change of %s", kind)
		}
	}
	for _, after := range []string{"x", "WyIxIl0", "WyItMSIsIjAiXQ", "WyI5OTk5OTkiLCIxIl0"} {
		if got := get(t, handler, "/v1/changes?after="+after); got.Code != 400 || got.at("parameter") != `"after"` {
			t.Errorf("after %s: status %d, %s", after, got.Code, got.Body)
		}
	}
}

// sorted is JSON with its fields in order.
func sorted(t *testing.T, text string) string {
	t.Helper()
	var value any
	if err := json.Unmarshal([]byte(text), &value); err != nil {
		t.Fatal(err)
	}
	out, _ := json.Marshal(value)
	return string(out)
}

// Names are written as JSON, whatever is in them.
func TestChangesAreJSON(t *testing.T) {
	t.Parallel()
	handler, _, exec := newShop(t)
	last := changes(t, get(t, handler, "/v1/changes?limit=10000")).Next
	for i, by := range []string{"till", "Zoë", `"front"`, `back\slash`, "<&>", "tab\tand", "line\u2028separator"} {
		exec(`WITH next AS (UPDATE catalogue_state SET feed = feed + 1 RETURNING feed)
			INSERT INTO feed (version, seq, by, kind, key, after) SELECT feed, 1, $1, 'holds', '{"hold": 1}', '{"for": "Zoë \"K\""}' FROM next`, by)
		got := changes(t, get(t, handler, "/v1/changes?after="+last))
		if len(got.Changes) != i+1 || got.Changes[i].By != by || string(got.Changes[i].Before) != "null" || sorted(t, string(got.Changes[i].After)) != `{"for":"Zoë \"K\""}` {
			t.Errorf("by %q: %+v", by, got)
		}
	}
}

// Whoever waits is answered by the next change, and none is kept when the service ends.
func TestWaitForChanges(t *testing.T) {
	t.Parallel()
	database, _ := importedShop(t, "testdata/bundle")
	config := shopConfig(database, false)
	config.Tokens = newTokens()
	stopping, stop := context.WithCancel(t.Context())
	config.Stopping = stopping
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	last := changes(t, get(t, handler, "/v1/changes?limit=10000")).Next
	wait := func() (changesBody, time.Duration) {
		start := time.Now()
		got := changes(t, get(t, handler, fmt.Sprintf("/v1/changes?wait=60&after=%s", last)))
		return got, time.Since(start)
	}
	go func() {
		time.Sleep(200 * time.Millisecond)
		as("stock", "POST", "/v1/stock/moves", soldOne).do(t, handler)
	}()
	got, took := wait()
	if len(got.Changes) != 1 || took > 30*time.Second {
		t.Errorf("%d changes after %v", len(got.Changes), took)
	}
	last = got.Next
	go func() {
		time.Sleep(200 * time.Millisecond)
		stop()
	}()
	if got, took := wait(); len(got.Changes) != 0 || got.Next != last || took > 30*time.Second {
		t.Errorf("at the end of the service: %d changes after %v", len(got.Changes), took)
	}
}
