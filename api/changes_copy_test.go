package api_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin/api"
	"standin/db"
)

// copied is a copy that a client keeps by GET /v1/changes alone: rows by their
// kind and key, as JSON with its fields in order.
type copied struct {
	rows map[string]map[string]string
	next string
	read int
}

// follow reads what has changed since, or waits for it. What a change says was
// there before must be what the copy has: a row that was skipped, or came twice or
// too early, is noticed.
func (c *copied) follow(t *testing.T, handler http.Handler, wait int) (changed int) {
	t.Helper()
	target := fmt.Sprintf("/v1/changes?limit=7&wait=%d", wait)
	if c.next != "" {
		target += "&after=" + url.QueryEscape(c.next)
	}
	body := changes(t, get(t, handler, target))
	for _, change := range body.Changes {
		kind, key := c.rows[change.Kind], sorted(t, string(change.Key))
		if kind == nil {
			kind = map[string]string{}
			c.rows[change.Kind] = kind
		}
		before, after := sorted(t, string(change.Before)), sorted(t, string(change.After))
		if had, ok := kind[key]; ok && had != before || !ok && before != "null" {
			t.Fatalf("%s %s was %s in the copy, and %s by the change", change.Kind, key, had, before)
		}
		if delete(kind, key); after != "null" {
			kind[key] = after
		}
	}
	c.next = body.Next
	c.read += len(body.Changes)
	return len(body.Changes)
}

// A copy that is kept by long polls while many change things, and while
// transactions take their time before and after their place in the order is known,
// is in the end the same as what is asked for directly.
func TestCopyOverHTTP(t *testing.T) {
	t.Parallel()
	database, _ := importedShop(t, "testdata/bundle")
	config := shopConfig(database, false)
	config.Tokens = newTokens()
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	var all sync.WaitGroup
	for i := range 6 {
		all.Go(func() { busy(ctx, t, handler, rand.New(rand.NewPCG(11, uint64(i)))) })
	}
	late := make([]int, 3)
	for i := range late {
		all.Go(func() {
			for ctx.Err() == nil {
				late[i]++
				commitLate(t, database, fmt.Sprintf("%d.%d", i, late[i]))
			}
		})
	}
	c := &copied{rows: map[string]map[string]string{}}
	for ctx.Err() == nil {
		if c.follow(t, handler, 1); len(c.rows["holds"]) > 40 && len(c.rows["fittings"]) > 20 { // half of the former are late
			stop()
		}
	}
	all.Wait()
	for c.follow(t, handler, 0) > 0 {
	}
	want, got := 0, 0
	for _, n := range late {
		want += n
	}
	for key := range c.rows["holds"] {
		if strings.Contains(key, "late") {
			got++
			delete(c.rows["holds"], key)
		}
	}
	if got != want || want < 5 {
		t.Errorf("the copy has %d rows that were committed late, of %d", got, want)
	}
	for kind, list := range map[string]string{"holds": "/v1/holds", "fittings": "/v1/fittings"} {
		stored := map[string]string{}
		for _, row := range listed(t, handler, list, kind) {
			var id struct{ Hold, Fitting int64 }
			if err := json.Unmarshal(row, &id); err != nil {
				t.Fatal(err)
			}
			stored[fmt.Sprintf(`{%q:%d}`, strings.TrimSuffix(kind, "s"), id.Hold+id.Fitting)] = sorted(t, string(row))
		}
		if diff := cmp.Diff(stored, c.rows[kind]); diff != "" || len(stored) < 5 {
			t.Errorf("%d %s (-stored +copy):\n%.1000s", len(stored), kind, diff)
		}
	}
	inStock, inCopy := map[string]int{}, map[string]int{}
	for _, row := range listed(t, handler, "/v1/stock", "lines") {
		countLine(t, inStock, row)
	}
	for _, row := range c.rows["stock"] {
		countLine(t, inCopy, []byte(row))
	}
	if diff := cmp.Diff(inStock, inCopy); diff != "" || len(inStock) < 2 {
		t.Errorf("%d lines of stock (-stored +copy):\n%.1000s", len(inStock), diff)
	}
	t.Logf("%d changes were read, %d of them late", c.read, want)
}

func countLine(t *testing.T, lines map[string]int, row []byte) {
	t.Helper()
	var line struct {
		Location, Revision, Condition string
		PartNumber                    string `json:"part_number"`
		Quantity                      int
	}
	if err := json.Unmarshal(row, &line); err != nil {
		t.Fatal(err)
	}
	lines[line.Location+" "+line.PartNumber+" "+line.Revision+" "+line.Condition] = line.Quantity
}

// busy does one thing after the other until the context ends. Whether each can be
// done does not matter here.
func busy(ctx context.Context, t *testing.T, handler http.Handler, r *rand.Rand) {
	for ctx.Err() == nil {
		switch r.IntN(4) {
		case 0:
			as("stock", "POST", "/v1/stock/moves", strings.NewReplacer("sold", "received", `"quantity":1`, `"quantity":3`).Replace(soldOne)).do(t, handler)
		case 1:
			as("stock", "POST", "/v1/stock/moves", soldOne).do(t, handler)
		case 2:
			held := as("stock", "POST", "/v1/holds", holdBody(1, time.Hour)).do(t, handler)
			if id := held.at("hold"); id != "absent" {
				as("stock", "POST", "/v1/holds/"+id+"/take", "").do(t, handler)
			}
		case 3:
			as("fittings", "POST", "/v1/fittings", fittedOne).do(t, handler)
		}
	}
}

// commitLate commits a change in a transaction that began to write long before, and
// in which time passes after its number is taken.
func commitLate(t *testing.T, database *db.DB, name string) {
	pause := func(most int) { time.Sleep(time.Duration(rand.IntN(most)) * time.Millisecond) }
	tx, err := database.Pool().Begin(context.WithoutCancel(t.Context()))
	if err != nil {
		t.Error(err)
		return
	}
	for i, sql := range []string{
		`SELECT pg_current_xact_id()`, // it has begun to write
		fmt.Sprintf(`WITH next AS (UPDATE catalogue_state SET feed = feed + 1 RETURNING feed)
			INSERT INTO feed (version, seq, by, kind, key, after) SELECT feed, 1, 'late', 'holds', '{"late": "%s"}', '{}' FROM next`, name),
	} {
		if _, err := tx.Exec(t.Context(), sql); err != nil {
			t.Error(err)
		}
		pause([]int{400, 40}[i])
	}
	if err := tx.Commit(t.Context()); err != nil {
		t.Error(err)
	}
}

// listed are all rows of a list, page by page.
func listed(t *testing.T, handler http.Handler, target, field string) (rows []json.RawMessage) {
	t.Helper()
	for target += "?limit=200"; ; {
		got := get(t, handler, target)
		body := map[string][]json.RawMessage{}
		if err := json.Unmarshal(got.Body.Bytes(), &body); err != nil {
			t.Fatal(err)
		}
		rows = append(rows, body[field]...)
		next := nextLink.FindStringSubmatch(got.Header().Get("Link"))
		if next == nil {
			return rows
		}
		target = next[1]
	}
}
