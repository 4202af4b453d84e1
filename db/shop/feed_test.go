package shop_test

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/shop"
)

// readAll reads the feed to its end, so many rows at a time.
func readAll(t testing.TB, store *shop.Store, after standin.FeedPosition, limit int) (all []standin.FeedRow) {
	t.Helper()
	for {
		rows, err := store.ReadFeed(t.Context(), after, limit)
		if err != nil {
			t.Fatal(err)
		}
		if all = append(all, rows...); len(rows) < limit {
			return all
		}
		after = rows[len(rows)-1].FeedPosition
	}
}

func TestFeed(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	if _, err := store.MoveStock(t.Context(), move("received", front, 3), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	held, err := store.Hold(t.Context(), hold(front, 1), standin.Once{})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := store.TakeHold(t.Context(), standin.TakenHold{ID: held.ID, By: "counter"}, standin.Once{}); err != nil {
		t.Fatal(err)
	}
	if _, err := store.MoveStock(t.Context(), moved(front, "back", 1), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	// What changes nothing is no change.
	if _, _, err := store.PutStock(t.Context(), standin.StockPut{StockKey: front, Quantity: 1, By: "till"}); err != nil {
		t.Fatal(err)
	}
	if _, err := store.MoveStock(t.Context(), move("sold", front, 9), standin.Once{}); err == nil {
		t.Fatal("nine were sold of one")
	}
	var got []string
	for _, r := range readAll(t, store, standin.FeedPosition{}, 100) {
		var before, after struct {
			Location string
			Quantity int
			State    string
		}
		if r.Before != nil {
			if err := json.Unmarshal(r.Before, &before); err != nil {
				t.Fatal(err)
			}
		}
		if err := json.Unmarshal(r.After, &after); err != nil {
			t.Fatal(err)
		}
		got = append(got, fmt.Sprintf("%d.%d %s %s %v: %d%s to %d%s", r.Version, r.Seq, r.By, r.Kind, r.Before == nil, before.Quantity, before.State, after.Quantity, after.State))
	}
	want := []string{
		"1.1 till stock true: 0 to 3",
		"2.1 till holds true: 0 to 1held",
		"3.1 counter holds false: 1held to 1taken",
		"3.2 counter stock false: 3 to 2",
		"4.1 till stock false: 2 to 1",
		"4.2 till stock true: 0 to 1",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the feed (-want +got):\n%s", diff)
	}
	for limit := 1; limit <= 7; limit++ {
		if diff := cmp.Diff(readAll(t, store, standin.FeedPosition{}, 100), readAll(t, store, standin.FeedPosition{}, limit)); diff != "" {
			t.Errorf("%d rows at a time (-all at once +got):\n%s", limit, diff)
		}
	}
	if _, err := store.ReadFeed(t.Context(), standin.FeedPosition{Version: 5}, 1); standin.CodeOf(err) != standin.CodeBadRequest {
		t.Errorf("a position that is not reached: %v", err)
	}
}

// late publishes one row in a transaction that stays open until it is told.
func late(t *testing.T, store *shop.Store, pool interface {
	Begin(context.Context) (pgx.Tx, error)
}, name string) (published, commit func()) {
	t.Helper()
	tx, err := pool.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(t.Context(), `SELECT pg_current_xact_id()`); err != nil { // it has begun to write
		t.Fatal(err)
	}
	published = func() {
		if _, err := tx.Exec(t.Context(), `WITH next AS (UPDATE catalogue_state SET feed = feed + 1 RETURNING feed)
			INSERT INTO feed (version, seq, by, kind, key) SELECT feed, 1, $1, 'holds', '{}' FROM next`, name); err != nil {
			t.Error(err)
		}
	}
	return published, func() {
		if err := tx.Commit(t.Context()); err != nil {
			t.Error(err)
		}
	}
}

func names(rows []standin.FeedRow) (all []string) {
	for _, r := range rows {
		all = append(all, r.By)
	}
	return all
}

// A row that is committed late is never skipped: whoever reads in between is
// given it afterwards.
func TestFeedSkipsNothing(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	receive := func() {
		if _, err := store.MoveStock(t.Context(), move("received", front, 1), standin.Once{}); err != nil {
			t.Error(err)
		}
	}
	// One began first of all, and is the last to be done.
	publish, commit := late(t, store, database.Pool(), "long")
	receive()
	receive()
	seen := readAll(t, store, standin.FeedPosition{}, 100)
	if diff := cmp.Diff([]string{"till", "till"}, names(seen)); diff != "" {
		t.Errorf("while it goes on (-want +got):\n%s", diff)
	}
	publish()
	// It has its number and is not committed: whoever comes after waits for it.
	done := make(chan struct{})
	go func() { defer close(done); receive() }()
	select {
	case <-done:
		t.Error("a later number was committed before an earlier one")
	case <-time.After(300 * time.Millisecond):
	}
	last := seen[len(seen)-1].FeedPosition
	if rows := readAll(t, store, last, 100); len(rows) != 0 {
		t.Errorf("seen before it is committed: %+v", rows)
	}
	commit()
	<-done
	if diff := cmp.Diff([]string{"long", "till"}, names(readAll(t, store, last, 100))); diff != "" {
		t.Errorf("after it (-want +got):\n%s", diff)
	}
}

// A number that was taken and given up leaves no gap and holds nobody up.
func TestFeedAfterRollback(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	tx, err := database.Pool().Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(t.Context(), `UPDATE catalogue_state SET feed = feed + 1`); err != nil {
		t.Fatal(err)
	}
	if err := tx.Rollback(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := store.MoveStock(t.Context(), move("received", front, 1), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	if rows := readAll(t, store, standin.FeedPosition{}, 100); len(rows) != 1 || rows[0].Version != 1 {
		t.Errorf("the feed is %+v", rows)
	}
}

func TestAwaitFeed(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	await := func(after standin.FeedPosition, wait time.Duration) time.Duration {
		t.Helper()
		start := time.Now()
		if err := store.AwaitFeed(t.Context(), after, wait); err != nil {
			t.Error(err)
		}
		return time.Since(start)
	}
	if took := await(standin.FeedPosition{}, 200*time.Millisecond); took < 200*time.Millisecond {
		t.Errorf("nothing happened, and it returned after %v", took)
	}
	receiveSoon := func() {
		time.Sleep(300 * time.Millisecond)
		if _, err := store.MoveStock(t.Context(), move("received", front, 1), standin.Once{}); err != nil {
			t.Error(err)
		}
	}
	go receiveSoon()
	const patience = 30 * time.Second
	if took := await(standin.FeedPosition{}, patience); took >= patience {
		t.Errorf("it was told after %v", took)
	}
	if took := await(standin.FeedPosition{}, patience); took >= patience {
		t.Errorf("there was a change already, and it returned after %v", took)
	}
	// Where no notifications pass it asks by itself.
	exec(t, database, `ALTER TABLE catalogue_state DISABLE TRIGGER tell_catalogue_state`)
	after := readAll(t, store, standin.FeedPosition{}, 100)[0].FeedPosition
	go receiveSoon()
	if took := await(after, patience); took >= patience {
		t.Errorf("without notifications it returned after %v", took)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := store.AwaitFeed(ctx, standin.FeedPosition{Version: 2, Seq: 1}, patience); err != nil {
		t.Errorf("given up: %v", err)
	}
	deadline := time.Now().Add(patience)
	for value[int](t, database, `SELECT count(*)::int FROM pg_stat_activity WHERE datname = current_database() AND query LIKE 'LISTEN%'`) > 0 {
		if time.Now().After(deadline) {
			t.Fatal("nobody waits, and a connection listens still")
		}
		time.Sleep(20 * time.Millisecond)
	}
}
