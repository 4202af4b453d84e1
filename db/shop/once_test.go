package shop_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/dbtest"
	"standin/db/shop"
)

func onceOf(key string) standin.Once { return standin.Once{Token: 1, Key: key, Request: [32]byte{1}} }

// draft-ietf-httpapi-idempotency-key-header-07, 2.6: the result of the first call
// is that of all of them.
func TestOnce(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	first, err := store.MoveStock(t.Context(), move("received", front, 3), onceOf("a"))
	if err != nil {
		t.Fatal(err)
	}
	again, err := store.MoveStock(t.Context(), move("received", front, 3), onceOf("a"))
	if diff := cmp.Diff(first, again); diff != "" || err != nil {
		t.Errorf("%v (-first +again):\n%s", err, diff)
	}
	other := onceOf("a")
	other.Request[0] = 2
	if _, err := store.MoveStock(t.Context(), move("received", front, 4), other); standin.CodeOf(err) != standin.CodeKeyReused {
		t.Errorf("another request: %v", err)
	}
	// A call that was refused leaves no trace: it may be made again.
	if _, err := store.MoveStock(t.Context(), move("sold", front, 4), onceOf("b")); standin.CodeOf(err) != standin.CodeNotFree {
		t.Errorf("more than there is: %v", err)
	}
	if _, err := store.MoveStock(t.Context(), move("received", front, 1), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	if _, err := store.MoveStock(t.Context(), move("sold", front, 4), onceOf("b")); err != nil {
		t.Errorf("made again where there is enough: %v", err)
	}
	held, err := store.Hold(t.Context(), hold(front, 1), onceOf("c"))
	if standin.CodeOf(err) != standin.CodeNotFree {
		t.Errorf("held from nothing: %+v, %v", held, err)
	}
}

// Every creating call answers again as it did, whatever became of what it made.
func TestOnceOfEveryCall(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	if _, err := store.MoveStock(t.Context(), move("received", front, 9), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	wanted := hold(front, 1)
	held, err := store.Hold(t.Context(), wanted, onceOf("hold"))
	if err != nil {
		t.Fatal(err)
	}
	taken, sale, err := store.TakeHold(t.Context(), standin.TakenHold{ID: held.ID, By: "till"}, onceOf("take"))
	if err != nil {
		t.Fatal(err)
	}
	fitted, err := store.AddFitting(t.Context(), standin.Fitting{NewFitting: standin.NewFitting{PartNumber: "70-1001", FittingResult: standin.FittingResult{Outcome: "works"}}}, onceOf("fit"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := store.SetResult(t.Context(), fitted.ID, standin.FittingResult{Outcome: "returned"}, "till"); err != nil {
		t.Fatal(err)
	}
	again, err := store.Hold(t.Context(), wanted, onceOf("hold"))
	if diff := cmp.Diff(held, again); diff != "" || err != nil {
		t.Errorf("hold: %v (-first +again):\n%s", err, diff)
	}
	takenAgain, saleAgain, err := store.TakeHold(t.Context(), standin.TakenHold{ID: held.ID, By: "till"}, onceOf("take"))
	if !cmp.Equal(taken, takenAgain) || !cmp.Equal(sale, saleAgain) || err != nil {
		t.Errorf("take: %+v, %+v, %v", takenAgain, saleAgain, err)
	}
	if got, ok, err := store.FittingMade(t.Context(), onceOf("fit")); !ok || err != nil || !cmp.Equal(got, fitted) {
		t.Errorf("fitting: %+v, %v, %v", got, ok, err)
	}
	if _, ok, err := store.FittingMade(t.Context(), onceOf("other")); ok || err != nil {
		t.Errorf("a fitting of a key that is new: %v, %v", ok, err)
	}
	if n := value[int](t, database, `SELECT count(*)::int FROM stock_moves`); n != 2 {
		t.Errorf("%d moves are kept, want 2", n)
	}
}

// Many that come at once, at two servers, with the same key: one does it, all are
// told the same.
func TestOnceAtOnce(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	one, database := openAt(t, url)
	two, _ := openAt(t, url)
	exec(t, database, parts)
	for round := range 20 {
		var wg sync.WaitGroup
		got := make([]standin.Move, 8)
		for i := range got {
			wg.Go(func() {
				var err error
				got[i], err = []*shop.Store{one, two}[i%2].MoveStock(t.Context(), move("received", front, 1), onceOf(fmt.Sprint(round)))
				if err != nil {
					t.Errorf("round %d, call %d: %v", round, i, err)
				}
			})
		}
		wg.Wait()
		for i := range got {
			if !cmp.Equal(got[0], got[i]) {
				t.Errorf("round %d: %+v and %+v", round, got[0], got[i])
			}
		}
	}
	if n := quantities(t, database)[front]; n != 20 {
		t.Errorf("there are %d, want 20", n)
	}
}

// A server that dies after it committed and before it answered: the client asks
// again, at another.
func TestOnceAfterDeath(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	for i := range 40 {
		ctx, die := context.WithCancel(t.Context())
		died := make(chan struct{})
		go func() {
			defer close(died)
			for range i { // a moment later each time
				_, _ = database.State(t.Context())
			}
			die()
		}()
		_, _ = store.MoveStock(ctx, move("received", front, 1), onceOf(fmt.Sprint(i)))
		<-died
		if _, err := store.MoveStock(t.Context(), move("received", front, 1), onceOf(fmt.Sprint(i))); err != nil {
			t.Fatal(err)
		}
		if n := quantities(t, database)[front]; n != i+1 {
			t.Fatalf("call %d: there are %d", i, n)
		}
	}
}

// A key is remembered for 24 hours, and then forgotten.
func TestOnceIsForgotten(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	receive := func(key string) standin.Move {
		t.Helper()
		made, err := store.MoveStock(t.Context(), move("received", front, 1), onceOf(key))
		if err != nil {
			t.Fatal(err)
		}
		return made
	}
	first := receive("a")
	exec(t, database, `UPDATE idempotency SET at = now() - interval '23 hours 59 minutes'`)
	if receive("a").ID != first.ID {
		t.Error("the key is forgotten within the day")
	}
	exec(t, database, `UPDATE idempotency SET at = now() - interval '24 hours'`)
	if receive("a").ID == first.ID {
		t.Error("the key is remembered after a day")
	}
	for i := range 10 {
		receive(fmt.Sprint(i))
	}
	exec(t, database, `UPDATE idempotency SET at = now() - interval '25 hours'`)
	for i := range 6 {
		receive(fmt.Sprint("new ", i))
	}
	if n := value[int](t, database, `SELECT count(*)::int FROM idempotency`); n != 6 {
		t.Errorf("%d keys are kept, want the 6 new ones", n)
	}
}

// In a transaction of the caller's own, as an import begins: what is done and the
// key that stands for it are there both or neither.
func TestOnceInATransaction(t *testing.T) {
	t.Parallel()
	_, database := open(t)
	exec(t, database, `CREATE TABLE jobs (id bigint GENERATED ALWAYS AS IDENTITY, name text)`)
	failed := errors.New("it failed")
	begin := func(commit bool) (id int64, err error) {
		err = pgx.BeginFunc(t.Context(), database.Pool(), func(tx pgx.Tx) error {
			err := shop.Once(t.Context(), tx, onceOf("import"), &id, func() error {
				return tx.QueryRow(t.Context(), `INSERT INTO jobs (name) VALUES ('spring') RETURNING id`).Scan(&id)
			})
			if err == nil && !commit {
				return failed
			}
			return err
		})
		return id, err
	}
	if _, err := begin(false); !errors.Is(err, failed) {
		t.Fatal(err)
	}
	first, err := begin(true)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := begin(true); again != first || err != nil {
		t.Errorf("again: %d, %v, want %d", again, err, first)
	}
	if n := value[int](t, database, `SELECT count(*)::int FROM jobs`); n != 1 {
		t.Errorf("%d jobs", n)
	}
}
