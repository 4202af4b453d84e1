package shop_test

import (
	"context"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"standin"
	"standin/db/dbtest"
)

// A primary and two standbys, read and written all the time: a standby is killed,
// then the primary, and the other standby is promoted. No read fails, none is from
// before what was written, and writes, which fail meanwhile, are taken again.
func TestServersFailUnderLoad(t *testing.T) {
	t.Parallel()
	c := dbtest.NewCluster(t, 2)
	c.Servers[0].Exec(`INSERT INTO parts (part_number, kind) VALUES ('FX-1', 'board'); INSERT INTO boards (part_id) SELECT id FROM parts`)
	store, database := openAt(t, c.URL())
	key := standin.StockKey{Location: "front", PartNumber: "FX-1", Condition: "new"}
	receive := standin.NewMove{StockKey: key, Kind: standin.MoveReceived, Quantity: 1, By: "Ada"}
	if _, err := store.MoveStock(t.Context(), receive, standin.Once{}); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var running sync.WaitGroup
	var quantity, reads, writes, refused atomic.Int64 // quantity: of what was answered
	quantity.Store(1)
	running.Go(func() {
		for ctx.Err() == nil {
			made, err := store.MoveStock(context.WithoutCancel(ctx), receive, standin.Once{})
			switch {
			case err == nil:
				writes.Add(1)
				quantity.Store(int64(made.After))
			case standin.CodeOf(err) == standin.CodeUnavailable || standin.CodeOf(err) == standin.CodeConflict:
				refused.Add(1)
			default:
				t.Errorf("a write: %v", err)
			}
			time.Sleep(5 * time.Millisecond)
		}
	})
	for range 3 {
		running.Go(func() {
			for ctx.Err() == nil {
				least := quantity.Load()
				lines, err := store.ListStock(context.WithoutCancel(ctx), standin.StockFilter{}, standin.StockKey{}, 10)
				if err != nil || len(lines) != 1 || int64(lines[0].Quantity) < least {
					t.Errorf("a read: %v, %v; %d were answered before", err, lines, least)
					return
				}
				if _, err := database.State(context.WithoutCancel(ctx)); err != nil {
					t.Errorf("the state: %v", err)
					return
				}
				reads.Add(1)
			}
		})
	}
	after := func(n *atomic.Int64, more int64) {
		t.Helper()
		for from, began := n.Load(), time.Now(); n.Load() < from+more; time.Sleep(time.Millisecond) {
			if time.Since(began) > time.Minute {
				t.Fatalf("not %d more in a minute: %d reads, %d writes, %d refused", more, reads.Load(), writes.Load(), refused.Load())
			}
		}
	}
	after(&writes, 20)
	c.Servers[2].Kill()
	after(&reads, 50)
	after(&writes, 20)
	c.Servers[0].Kill()
	after(&reads, 50)
	after(&refused, 1)
	c.Servers[1].Exec(`ALTER SYSTEM SET synchronous_standby_names = ''`)
	c.Servers[1].Promote()
	after(&writes, 20)
	after(&reads, 50)
	stop()
	running.Wait()
	lines, err := store.ListStock(t.Context(), standin.StockFilter{}, standin.StockKey{}, 10)
	moves := value[int64](t, database, `SELECT coalesce(sum(quantity), 0) FROM stock_moves`)
	if err != nil || len(lines) != 1 || int64(lines[0].Quantity) != moves || int64(lines[0].Quantity) < quantity.Load() {
		t.Errorf("%v: %v, %d by the moves, %d were answered", err, lines, moves, quantity.Load())
	}
	if gap := value[int64](t, database, `SELECT max(version) - count(DISTINCT version) FROM feed`); gap != 0 {
		t.Errorf("the feed lacks %d numbers", gap)
	}
	t.Logf("%d reads, %d writes, %d writes refused", reads.Load(), writes.Load(), refused.Load())
}

// A standby that stands still: whoever wrote, or says what it has seen, is answered
// by the primary; who does neither may be answered from before, until the primary
// was listened to.
func TestServersAStandbyIsBehind(t *testing.T) {
	t.Parallel()
	c := dbtest.NewCluster(t, 1)
	primary, standby := c.Servers[0], c.Servers[1]
	primary.Exec(`INSERT INTO parts (part_number, kind) VALUES ('FX-1', 'board'); INSERT INTO boards (part_id) SELECT id FROM parts`)
	primary.Exec(`ALTER SYSTEM SET synchronous_standby_names = ''`)
	primary.Exec(`SELECT pg_reload_conf()`)
	store, database := openAt(t, c.URL())
	other, _ := openAt(t, c.URL())
	listening, heard := openAt(t, c.URL())
	key := standin.StockKey{Location: "front", PartNumber: "FX-1", Condition: "new"}
	receive := func() {
		t.Helper()
		if _, err := store.MoveStock(t.Context(), standin.NewMove{StockKey: key, Kind: standin.MoveReceived, Quantity: 1, By: "Ada"}, standin.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	quantity := func(ctx context.Context, of interface {
		ListStock(context.Context, standin.StockFilter, standin.StockKey, int) ([]standin.StockRecord, error)
	}) int {
		t.Helper()
		lines, err := of.ListStock(ctx, standin.StockFilter{}, standin.StockKey{}, 10)
		if err != nil || len(lines) != 1 {
			t.Fatalf("%v, %v", lines, err)
		}
		return lines[0].Quantity
	}
	receive()
	for quantity(t.Context(), store) != 1 { // the standby shows it, too
	}
	standby.Exec(`SELECT pg_wal_replay_pause()`)
	receive()
	for range 10 {
		if got := quantity(t.Context(), store); got != 2 {
			t.Fatalf("who wrote is answered with %d", got)
		}
	}
	if got := quantity(standin.WithSeen(t.Context(), database.Seen()), other); got != 2 {
		t.Errorf("who says what it has seen is answered with %d", got)
	}
	go heard.Listen(t.Context())
	for began := time.Now(); quantity(t.Context(), listening) != 2; time.Sleep(time.Millisecond) {
		if time.Since(began) > 30*time.Second {
			t.Fatal("who listens never hears of it")
		}
	}
	standby.Exec(`SELECT pg_wal_replay_resume()`)
}
