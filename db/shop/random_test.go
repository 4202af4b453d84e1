package shop_test

import (
	"crypto/rand"
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"standin"
	"standin/db"
	"standin/db/dbtest"
	"standin/db/shop"
)

// TestRandomSequences holds random sequences of moves, counts, holds, takes,
// releases, expiries and fittings, each call at one of two servers and with
// connections ended now and then, against the model: every answer, every line and
// every hold are the same.
func TestRandomSequences(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	one, _ := openAt(t, url)
	two, _ := openAt(t, url)
	watch, database := openAt(t, dbtest.Named(t, url, "watcher")) // whose connections stay
	exec(t, database, parts)
	rapid.Check(t, func(r *rapid.T) {
		for _, sql := range []string{`TRUNCATE stock, stock_moves, holds, fittings, feed, idempotency RESTART IDENTITY`, `UPDATE catalogue_state SET feed = 0`} {
			if _, err := database.Pool().Exec(t.Context(), sql); err != nil {
				r.Fatal(err)
			}
		}
		s := &sequence{t: t, watch: watch, servers: []*shop.Store{one, two}, database: database, model: newModel()}
		often, seldom := []func(*rapid.T){s.move, s.move, s.hold, s.take}, []func(*rapid.T){s.put, s.count, s.renew, s.release, s.fit, s.wait, s.kill}
		for range rapid.IntRange(20, 100).Draw(r, "steps") {
			steps := often
			if rapid.IntRange(0, 2).Draw(r, "one in three") == 0 {
				steps = seldom
			}
			rapid.SampledFrom(steps).Draw(r, "step")(r)
			s.compare(r)
		}
	})
}

type sequence struct {
	t        *testing.T
	watch    *shop.Store
	servers  []*shop.Store
	database *db.DB
	model    *model
	holds    []int64 // ids, by the model's numbers
	fittings []int64
}

func (s *sequence) at(r *rapid.T) *shop.Store {
	return s.servers[rapid.IntRange(0, len(s.servers)-1).Draw(r, "server")]
}

// answered makes a call until it is answered, as a client does whose connection
// was lost: with the same key.
func (s *sequence) answered(r *rapid.T, call func(*shop.Store, standin.Once) error) error {
	store, once := s.at(r), onceOf(rand.Text())
	for range 20 {
		if err := call(store, once); standin.CodeOf(err) != standin.CodeUnavailable {
			return err
		}
	}
	r.Fatal("the call was never answered")
	return nil
}

// agrees checks that an error is the one that the model has.
func agrees(r *rapid.T, err error, want standin.Code) {
	if standin.CodeOf(err) != want {
		r.Fatalf("%v, want %q", err, want)
	}
}

func drawLine(r *rapid.T) standin.StockKey {
	return rapid.SampledFrom([]standin.StockKey{front, front, front, back, unread, adaptor}).Draw(r, "line")
}

func drawQuantity(r *rapid.T) int { return rapid.IntRange(1, 4).Draw(r, "quantity") }

func drawTime(r *rapid.T) time.Duration {
	return time.Duration(rapid.IntRange(1, 5).Draw(r, "hours")) * time.Hour
}

func (s *sequence) move(r *rapid.T) {
	w := move(rapid.SampledFrom(standin.MoveKinds).Draw(r, "kind"), drawLine(r), drawQuantity(r))
	if w.Kind == standin.MoveMoved {
		w.To = map[string]string{"front": "back", "back": "front"}[w.Location]
	}
	var made standin.Move
	err := s.answered(r, func(store *shop.Store, once standin.Once) (err error) {
		made, err = store.MoveStock(s.t.Context(), w, once)
		return err
	})
	agrees(r, err, s.model.move(w))
	if err == nil {
		s.sameMove(r, made)
	}
}

// sameMove checks a move that was made against the model's last.
func (s *sequence) sameMove(r *rapid.T, made standin.Move) {
	want := s.model.moves[len(s.model.moves)-1]
	if made.Before != want.Before || made.After != want.After || made.ToBefore != want.ToBefore || made.ToAfter != want.ToAfter {
		r.Fatalf("the move is %+v, want %+v", made, want)
	}
}

func (s *sequence) put(r *rapid.T) {
	key, quantity := drawLine(r), rapid.IntRange(0, 5).Draw(r, "quantity")
	err := s.answered(r, func(store *shop.Store, _ standin.Once) error {
		_, _, err := store.PutStock(s.t.Context(), standin.StockPut{StockKey: key, Quantity: quantity, By: "till"})
		return err
	})
	agrees(r, err, "")
	s.model.put(key, quantity)
}

func (s *sequence) count(r *rapid.T) {
	put := standin.LocationPut{Location: "front", By: "till"}
	counted := map[standin.StockKey]bool{}
	for _, key := range rapid.SliceOfNDistinct(rapid.SampledFrom([]standin.StockKey{front, unread, adaptor}), 0, 3, rapid.ID).Draw(r, "lines") {
		quantity := rapid.IntRange(0, 5).Draw(r, "quantity")
		put.Counts = append(put.Counts, standin.Count{PartNumber: key.PartNumber, Revision: key.Revision, Condition: key.Condition, Quantity: quantity})
		counted[key] = true
		s.model.put(key, quantity)
	}
	for key := range s.model.lines {
		if key.Location == "front" && !counted[key] {
			s.model.put(key, 0)
		}
	}
	agrees(r, s.answered(r, func(store *shop.Store, _ standin.Once) error {
		_, err := store.PutLocation(s.t.Context(), put)
		return err
	}), "")
}

func (s *sequence) hold(r *rapid.T) {
	key, quantity, lasts := drawLine(r), drawQuantity(r), drawTime(r)
	wanted := hold(key, quantity)
	wanted.Until = time.Now().Add(lasts + 30*time.Minute) // so that no test is too slow for it
	var made standin.Hold
	err := s.answered(r, func(store *shop.Store, once standin.Once) (err error) {
		made, err = store.Hold(s.t.Context(), wanted, once)
		return err
	})
	others := s.model.elsewhere(key)
	agrees(r, err, s.model.hold(key, quantity, lasts))
	if err == nil {
		s.holds = append(s.holds, made.ID)
		return
	}
	var refused *standin.Error
	var offered []standin.StockKey
	if errors.As(err, &refused) {
		for _, line := range refused.Stock {
			offered = append(offered, line.StockKey)
		}
	}
	if diff := cmp.Diff(others, offered); diff != "" {
		r.Fatalf("what else could be held (-want +got):\n%s", diff)
	}
}

// drawHold is one of the last few holds; none where nothing was held yet.
func (s *sequence) drawHold(r *rapid.T) (i int, id int64, ok bool) {
	if len(s.holds) == 0 {
		return 0, 0, false
	}
	i = rapid.IntRange(max(0, len(s.holds)-4), len(s.holds)-1).Draw(r, "hold")
	return i, s.holds[i], true
}

func (s *sequence) renew(r *rapid.T) {
	i, id, ok := s.drawHold(r)
	if !ok {
		return
	}
	lasts := drawTime(r)
	agrees(r, s.answered(r, func(store *shop.Store, _ standin.Once) error {
		return first(store.RenewHold(s.t.Context(), id, time.Now().Add(lasts+30*time.Minute), "till"))
	}), s.model.renew(i, lasts))
}

func (s *sequence) release(r *rapid.T) {
	i, id, ok := s.drawHold(r)
	if !ok {
		return
	}
	agrees(r, s.answered(r, func(store *shop.Store, _ standin.Once) error {
		return first(store.ReleaseHold(s.t.Context(), id, "till"))
	}), s.model.release(i))
}

func (s *sequence) take(r *rapid.T) {
	i, id, ok := s.drawHold(r)
	if !ok {
		return
	}
	var sale standin.Move
	err := s.answered(r, func(store *shop.Store, once standin.Once) (err error) {
		_, sale, err = store.TakeHold(s.t.Context(), standin.TakenHold{ID: id, By: "till"}, once)
		return err
	})
	agrees(r, err, s.model.take(i))
	if err == nil {
		s.sameMove(r, sale)
	}
}

func (s *sequence) fit(r *rapid.T) {
	outcome := rapid.SampledFrom(standin.FittingOutcomes).Draw(r, "outcome")
	if n := len(s.fittings); n > 0 && rapid.Bool().Draw(r, "anew") {
		i := rapid.IntRange(0, n-1).Draw(r, "fitting")
		agrees(r, s.answered(r, func(store *shop.Store, _ standin.Once) error {
			return first(store.SetResult(s.t.Context(), s.fittings[i], standin.FittingResult{Outcome: outcome}, "bench"))
		}), "")
		s.model.outcomes[i] = outcome
		return
	}
	var made standin.Fitting
	agrees(r, s.answered(r, func(store *shop.Store, once standin.Once) (err error) {
		made, err = store.AddFitting(s.t.Context(), standin.Fitting{NewFitting: standin.NewFitting{
			PartNumber: "70-1001", Revision: "A", FittingResult: standin.FittingResult{Outcome: outcome},
		}, Model: standin.ModelKey{Brand: "Wexcombe", Model: "DW 410"}}, once)
		return err
	}), "")
	s.fittings = append(s.fittings, made.ID)
	s.model.outcomes = append(s.model.outcomes, outcome)
}

// wait lets time pass: every hold ends so much earlier.
func (s *sequence) wait(r *rapid.T) {
	d := drawTime(r)
	s.model.now += d
	exec(s.t, s.database, `UPDATE holds SET until = until - $1::interval`, d)
	// What is left of the half hour that each has beyond its time counts for nothing.
	exec(s.t, s.database, `UPDATE holds SET until = until - interval '30 minutes' WHERE until BETWEEN now() AND now() + interval '30 minutes'`)
}

func (s *sequence) kill(r *rapid.T) {
	exec(s.t, s.database, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
		WHERE datname = current_database() AND application_name <> 'watcher'`)
}

// compare holds what is stored against the model.
func (s *sequence) compare(r *rapid.T) {
	lines, err := s.watch.ListStock(s.t.Context(), standin.StockFilter{}, standin.StockKey{}, 100)
	agrees(r, err, "")
	got, want := map[standin.StockKey][2]int{}, map[standin.StockKey][2]int{}
	for _, l := range lines {
		got[l.StockKey] = [2]int{l.Quantity, l.Held}
	}
	for key, quantity := range s.model.lines {
		want[key] = [2]int{quantity, s.model.held(key)}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		r.Fatalf("quantities and what is on hold (-want +got):\n%s", diff)
	}
	holds, err := s.watch.ListHolds(s.t.Context(), standin.HoldFilter{}, 0, 1000)
	agrees(r, err, "")
	if len(holds) != len(s.model.holds) {
		r.Fatalf("%d holds, want %d", len(holds), len(s.model.holds))
	}
	for i, h := range holds {
		if want := s.model.state(s.model.holds[i]); h.State != want || h.ID != s.holds[i] {
			r.Fatalf("hold %d is %s, want hold %d %s", h.ID, h.State, s.holds[i], want)
		}
	}
	moves, err := s.watch.ListMoves(s.t.Context(), standin.StockFilter{}, 0, 1000)
	agrees(r, err, "")
	if len(moves) != len(s.model.moves) {
		r.Fatalf("%d moves are kept, want %d", len(moves), len(s.model.moves))
	}
	s.sameCounts(r)
}

func (s *sequence) sameCounts(r *rapid.T) {
	key := standin.FittingKey{ModelKey: standin.ModelKey{Brand: "Wexcombe", Model: "DW 410"}, PartNumber: "70-1001", Revision: "A"}
	counts, err := s.database.FittingCounts(s.t.Context(), []standin.FittingKey{key, key})
	agrees(r, err, "")
	want := map[standin.FittingOutcome]int{}
	for _, outcome := range s.model.outcomes {
		want[outcome]++
	}
	n := counts[key]
	if n.Works != want["works"] || n.FailedAtOnce != want["failed-at-once"] || n.FailedWithinDays != want["failed-within-days"] ||
		n.Returned != want["returned"] || n.FoundWrong != want["found-wrong"] {
		r.Fatalf("fittings are counted as %+v, want %v", n, want)
	}
}
