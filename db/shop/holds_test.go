package shop_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/db/dbtest"
	"standin/db/shop"
)

func hold(key standin.StockKey, quantity int) standin.NewHold {
	return standin.NewHold{StockKey: key, Quantity: quantity, Until: time.Now().Add(time.Hour).UTC().Truncate(time.Microsecond), For: "Mrs Ashby", Reference: "job 7", By: "till"}
}

func TestHold(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	for _, k := range []standin.StockKey{front, back, unread} {
		if _, err := store.MoveStock(t.Context(), move("received", k, 3), standin.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	free := func(want int) {
		t.Helper()
		if r, err := store.StockOf(t.Context(), front); err != nil || r.Free() != want {
			t.Errorf("free is %d of %+v, %v; want %d", r.Free(), r, err, want)
		}
	}
	made, err := store.Hold(t.Context(), hold(front, 2), standin.Once{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := store.HoldOf(t.Context(), made.ID)
	if diff := cmp.Diff(made, got); diff != "" || err != nil {
		t.Errorf("%v (-made +got):\n%s", err, diff)
	}
	free(1)
	_, err = store.Hold(t.Context(), hold(front, 2), standin.Once{})
	var refused *standin.Error
	if !errors.As(err, &refused) || refused.Code != standin.CodeNotFree {
		t.Fatalf("more than is free: %v", err)
	}
	var others []standin.StockKey
	for _, r := range refused.Stock {
		others = append(others, r.StockKey)
	}
	if diff := cmp.Diff([]standin.StockKey{back, unread}, others); diff != "" {
		t.Errorf("what else could be held (-want +got):\n%s", diff)
	}
	if _, err := store.MoveStock(t.Context(), move("sold", front, 2), standin.Once{}); standin.CodeOf(err) != standin.CodeNotFree {
		t.Errorf("what is on hold was sold: %v", err)
	}
	until := made.Until.Add(time.Hour)
	if renewed, err := store.RenewHold(t.Context(), made.ID, until, "till"); err != nil || !renewed.Until.Equal(until) {
		t.Errorf("renewed: %+v, %v", renewed, err)
	}
	taken, sale, err := store.TakeHold(t.Context(), standin.TakenHold{ID: made.ID, By: "till", Reason: "collected"}, standin.Once{})
	if err != nil || taken.State != standin.HoldTaken || sale.Kind != standin.MoveSold || sale.Hold != made.ID || sale.Before != 3 || sale.After != 1 || sale.Reference != "job 7" {
		t.Errorf("taken: %+v, %+v, %v", taken, sale, err)
	}
	free(1)
	if moves, _ := store.ListMoves(t.Context(), standin.StockFilter{Location: "front"}, 0, 10); !cmp.Equal(moves[len(moves)-1], sale) {
		t.Errorf("the sale is kept as %+v", moves)
	}
	for name, err := range map[string]error{
		"taken again": second(store.TakeHold(t.Context(), standin.TakenHold{ID: made.ID}, standin.Once{})),
		"released":    first(store.ReleaseHold(t.Context(), made.ID, "till")),
		"renewed":     first(store.RenewHold(t.Context(), made.ID, until, "till")),
	} {
		if standin.CodeOf(err) != standin.CodeConflict {
			t.Errorf("%s after it was taken: %v", name, err)
		}
	}
	other, err := store.Hold(t.Context(), hold(front, 1), standin.Once{})
	if err != nil {
		t.Fatal(err)
	}
	free(0)
	for range 2 {
		if r, err := store.ReleaseHold(t.Context(), other.ID, "till"); err != nil || r.State != standin.HoldReleased || r.Ended.IsZero() {
			t.Errorf("released: %+v, %v", r, err)
		}
	}
	free(1)
	if _, err := store.HoldOf(t.Context(), 99); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("a hold that there is not: %v", err)
	}
	for state, want := range map[standin.HoldState]int{"": 2, "taken": 1, "released": 1, "held": 0, "expired": 0} {
		if all, err := store.ListHolds(t.Context(), standin.HoldFilter{State: state}, 0, 10); err != nil || len(all) != want {
			t.Errorf("holds in state %q: %+v, %v", state, all, err)
		}
	}
}

func first[T any](_ T, err error) error          { return err }
func second[T, U any](_ T, _ U, err error) error { return err }

func TestHoldRefused(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	until := func(d time.Duration) standin.NewHold {
		h := hold(front, 1)
		h.Until = time.Now().Add(d)
		return h
	}
	for name, c := range map[string]struct {
		hold standin.NewHold
		want standin.Code
	}{
		"no stock line":       {hold(front, 1), standin.CodeNotFree},
		"an unknown part":     {hold(line("front", "70-9999", ""), 1), standin.CodeNotFound},
		"an unknown revision": {hold(line("front", "70-1001", "Z"), 1), standin.CodeNotFound},
		"no piece":            {hold(front, 0), standin.CodeBadRequest},
		"run out already":     {until(-time.Second), standin.CodeBadRequest},
		"too long":            {until(367 * 24 * time.Hour), standin.CodeBadRequest},
	} {
		if _, err := store.Hold(t.Context(), c.hold, standin.Once{}); standin.CodeOf(err) != c.want {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}

// A hold runs out by itself, everywhere at the same moment.
func TestHoldExpires(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	if _, err := store.MoveStock(t.Context(), move("received", front, 1), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	made, err := store.Hold(t.Context(), hold(front, 1), standin.Once{})
	if err != nil {
		t.Fatal(err)
	}
	before, err := database.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	exec(t, database, `UPDATE holds SET until = now() + interval '50 milliseconds'`)
	database.Changed()
	if _, err := database.State(t.Context()); err != nil { // known from now on, until the hold runs out
		t.Fatal(err)
	}
	time.Sleep(60 * time.Millisecond)
	if after, err := database.State(t.Context()); err != nil || after == before {
		t.Errorf("the state is %+v before and %+v after, %v", before, after, err)
	}
	if got, _ := store.HoldOf(t.Context(), made.ID); got.State != standin.HoldExpired {
		t.Errorf("the hold is %s", got.State)
	}
	if r, _ := store.StockOf(t.Context(), front); r.Free() != 1 {
		t.Errorf("free are %d", r.Free())
	}
	if err := second(store.TakeHold(t.Context(), standin.TakenHold{ID: made.ID}, standin.Once{})); standin.CodeOf(err) != standin.CodeConflict {
		t.Errorf("taken: %v", err)
	}
	if err := first(store.RenewHold(t.Context(), made.ID, time.Now().Add(time.Hour), "till")); standin.CodeOf(err) != standin.CodeConflict {
		t.Errorf("renewed: %v", err)
	}
	if got, err := store.ReleaseHold(t.Context(), made.ID, "till"); err != nil || got.State != standin.HoldExpired {
		t.Errorf("released: %+v, %v", got, err)
	}
	if _, err := store.Hold(t.Context(), hold(front, 1), standin.Once{}); err != nil {
		t.Errorf("held by the next: %v", err)
	}
}

// A count is believed, also where there are fewer than are on hold.
func TestCountBelowHeld(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	if _, err := store.MoveStock(t.Context(), move("received", front, 3), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	two, err := store.Hold(t.Context(), hold(front, 2), standin.Once{})
	if err != nil {
		t.Fatal(err)
	}
	line, _, err := store.PutStock(t.Context(), standin.StockPut{StockKey: front, Quantity: 1, By: "till"})
	if err != nil || line.Free() != 0 || line.Short() != 1 {
		t.Errorf("counted: %+v, %v", line, err)
	}
	if err := second(store.TakeHold(t.Context(), standin.TakenHold{ID: two.ID, By: "till"}, standin.Once{})); standin.CodeOf(err) != standin.CodeNotFree {
		t.Errorf("two taken of one: %v", err)
	}
	if got, _ := store.HoldOf(t.Context(), two.ID); got.State != standin.HoldHeld {
		t.Errorf("the hold is %s", got.State)
	}
}

// 200 clients of two servers want one of 50 pieces each, and 60 connections are
// ended under them: 50 have one, nobody is told a lie.
func TestFiftyPieces(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	one, database := openAt(t, url)
	two, _ := openAt(t, url)
	exec(t, database, parts)
	const pieces, clients = 50, 200
	if _, err := one.MoveStock(t.Context(), move("received", front, pieces), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var killed atomic.Int64
	killing := make(chan struct{})
	_, killer := openAt(t, url) // its own connections, which the clients cannot use up
	go func() {
		defer close(killing)
		for ctx.Err() == nil && killed.Load() < 60 {
			var n int64
			_ = killer.Pool().QueryRow(ctx, `SELECT count(*) FILTER (WHERE pg_terminate_backend(pid)) FROM (
				SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()
				AND state <> 'idle' ORDER BY random() LIMIT 1) AS victims`).Scan(&n)
			killed.Add(n)
			time.Sleep(5 * time.Millisecond)
		}
	}()
	var got, refused atomic.Int64
	var wg sync.WaitGroup
	for i := range clients {
		wg.Go(func() {
			store := []*shop.Store{one, two}[i%2]
			once := standin.Once{Token: 1, Key: fmt.Sprint("client ", i)}
			for { // as a client does that was not answered
				_, err := store.Hold(ctx, hold(front, 1), once)
				switch standin.CodeOf(err) {
				case "":
					got.Add(1)
					return
				case standin.CodeNotFree:
					refused.Add(1)
					return
				case standin.CodeUnavailable, standin.CodeConflict:
				default:
					t.Errorf("client %d: %v", i, err)
					return
				}
			}
		})
	}
	wg.Wait()
	stop()
	<-killing
	held := value[int](t, database, `SELECT sum(quantity)::int FROM holds WHERE state = 'held'`)
	if got.Load() != pieces || refused.Load() != clients-pieces || held != pieces {
		t.Errorf("%d have one, %d are refused, %d are on hold; want %d, %d, %d", got.Load(), refused.Load(), held, pieces, clients-pieces, pieces)
	}
	if killed.Load() == 0 {
		t.Error("no connection was ended")
	}
	t.Logf("%d connections were ended", killed.Load())
}
