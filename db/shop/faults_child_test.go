package shop_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/shop"
	"standin/importer"
)

// The environment by which this test binary is a program that works in a shop until
// it is killed.
const (
	childURL    = "STANDIN_TEST_SHOP_AT"
	childBundle = "STANDIN_TEST_SHOP_BUNDLE"
	childRun    = "STANDIN_TEST_SHOP_RUN"
)

const (
	childName = "worked"              // of its connections
	downTime  = 20 * time.Millisecond // between calls to a server that is away
)

func TestMain(m *testing.M) {
	if url := os.Getenv(childURL); url != "" {
		if err := workAsChild(url); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// call is one call that creates something, under a key of its own.
type call struct {
	Key     string
	Move    *standin.NewMove
	Hold    *standin.NewHold
	Take    int64 // a hold
	Fitting bool
}

// do makes the call and returns what it was answered, as JSON.
func (c call) do(ctx context.Context, store *shop.Store) (string, error) {
	var made any
	var err error
	once := standin.Once{Token: 1, Key: c.Key, Request: [32]byte{1}}
	switch {
	case c.Move != nil:
		made, err = store.MoveStock(ctx, *c.Move, once)
	case c.Hold != nil:
		made, err = store.Hold(ctx, *c.Hold, once)
	case c.Take != 0:
		var sale standin.Move
		_, sale, err = store.TakeHold(ctx, standin.TakenHold{ID: c.Take, By: "till"}, once)
		made = sale
	default:
		made, err = store.AddFitting(ctx, standin.Fitting{NewFitting: standin.NewFitting{
			PartNumber: "70-1001", FittingResult: standin.FittingResult{Outcome: "works"}, Reference: c.Key,
		}}, once)
	}
	if err != nil {
		return "", err
	}
	text, err := json.Marshal(made)
	return string(text), err
}

// drawCall is a call of any kind; held are holds that may be taken, of which it uses
// up the one that it takes.
func drawCall(r *rand.Rand, key string, held *[]int64) call {
	c := call{Key: key}
	line := line([]string{"front", "back"}[r.IntN(2)], "70-1001", []string{"A", "B"}[r.IntN(2)])
	moving := func(m standin.NewMove) *standin.NewMove {
		m.Reference = key
		return &m
	}
	switch n := 1 + r.IntN(3); r.IntN(8) {
	case 0, 1, 2:
		c.Move = moving(move(standin.MoveReceived, line, n+1))
	case 3:
		c.Move = moving(move(standin.MoveSold, line, n))
	case 4:
		line.Location = "front"
		c.Move = moving(moved(line, "back", n))
	case 5:
		h := hold(line, n)
		h.Reference = key
		c.Hold = &h
	case 6:
		if last := len(*held) - 1; last >= 0 {
			c.Take, *held = (*held)[last], (*held)[:last]
		}
		c.Fitting = c.Take == 0
	case 7:
		c.Fitting = true
	}
	return c
}

// said is a line of what the child says: a call before it is made, with its answer
// once it was answered, or that it was refused, or what may not happen.
type said struct {
	Call    call
	Answer  string
	Refused bool // it has no effect, and may be made again
	Wrong   string
}

func workAsChild(url string) error {
	ctx := context.Background()
	database, err := db.Open(ctx, url)
	if err != nil {
		return err
	}
	defer database.Close()
	run, err := strconv.ParseUint(os.Getenv(childRun), 10, 64)
	if err != nil {
		return err
	}
	var mu sync.Mutex
	say := func(s said) {
		text, err := json.Marshal(s)
		if err != nil {
			panic(err)
		}
		mu.Lock()
		defer mu.Unlock()
		os.Stdout.Write(append(text, '\n')) // one write: a line is said whole
	}
	var all sync.WaitGroup
	for i := range uint64(3) {
		all.Go(func() {
			callAsChild(ctx, shop.NewStore(database), rand.New(rand.NewPCG(run, i)), fmt.Sprintf("%d-%d", run, i), say)
		})
	}
	all.Go(func() { importAsChild(ctx, bundle.NewStore(database), say) })
	all.Wait()
	return nil
}

// mayHappen reports whether a call may fail so, where the server is killed and stock
// runs out.
func mayHappen(err error) bool {
	switch standin.CodeOf(err) {
	case standin.CodeUnavailable, standin.CodeConflict, standin.CodeNotFree, standin.CodeNotFound:
		return true
	}
	return false
}

func callAsChild(ctx context.Context, store *shop.Store, r *rand.Rand, keys string, say func(said)) {
	var held []int64
	for n := 0; ; n++ {
		time.Sleep(time.Duration(r.Int64N(int64(downTime)))) // lest the import never get through
		c := drawCall(r, fmt.Sprintf("%s-%d", keys, n), &held)
		say(said{Call: c})
		answer, err := c.do(ctx, store)
		switch {
		case err == nil:
			say(said{Call: c, Answer: answer})
			var made struct{ ID int64 }
			if c.Hold != nil && json.Unmarshal([]byte(answer), &made) == nil {
				held = append(held, made.ID)
			}
		case !mayHappen(err):
			say(said{Call: c, Wrong: err.Error()})
		case standin.CodeOf(err) == standin.CodeUnavailable: // whether it was made is not known
			time.Sleep(downTime)
		default:
			say(said{Call: c, Refused: true})
		}
	}
}

// importAsChild imports the bundle and undoes it again, for ever. It begins with the
// undoing: what an import has done before it was cut off would stay otherwise, as
// the next changes nothing.
func importAsChild(ctx context.Context, store *bundle.Store, say func(said)) {
	for {
		err := undoLast(ctx, store)
		if err == nil {
			time.Sleep(downTime)
			err = importOnce(ctx, store)
		}
		if err != nil && !mayHappen(err) {
			say(said{Wrong: "an import: " + err.Error()})
		}
		time.Sleep(10 * downTime)
	}
}

func importOnce(ctx context.Context, store *bundle.Store) error {
	report, err := importer.Run(ctx, store, []string{os.Getenv(childBundle)}, importer.Options{By: "keeper"})
	if err == nil && report.Errors > 0 {
		err = errors.New(report.Summary())
	}
	return err
}

// undoLast undoes the import that is in force, if one is.
func undoLast(ctx context.Context, store *bundle.Store) error {
	last, err := store.ListImports(ctx, 0, 1)
	if err != nil || len(last) == 0 || last[0].UndoneBy != 0 || last[0].Undoes != 0 {
		return err
	}
	_, err = store.Undo(ctx, last[0].ID, standin.UndoRequest{By: "keeper"})
	return err
}
