package db

import (
	"context"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
)

// StateHolds is how long a state read from the database is taken for the current
// one, and so how stale an answer from memory may be. It is less where changes are
// listened for, and changes made through this DB are seen at once.
const StateHolds = time.Second

// knownState is the last state that was read from the database. It is safe for
// concurrent use.
type knownState struct {
	mu      sync.Mutex
	state   standin.State
	until   time.Time // it holds; zero: no state is known
	changes int       // times that it was forgotten
}

// get returns the state, whether one is known, and how often it was forgotten
// before.
func (k *knownState) get() (state standin.State, changes int, ok bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.state, k.changes, time.Now().Before(k.until)
}

// last returns the state known last, whether or not it still holds.
func (k *knownState) last() standin.State {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.state
}

// put keeps a state that was asked for at some time and holds for a while. It does
// not where the state was forgotten after the count of changes that get returned:
// the answer may be from before the change.
func (k *knownState) put(state standin.State, asked time.Time, holds time.Duration, changes int) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.changes == changes {
		k.state, k.until = state, asked.Add(holds)
	}
}

func (k *knownState) forget() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.changes++
	k.until = time.Time{}
}

// Changed makes State ask the database again. The packages that write call it after
// each commit, so that this DB never answers from before its own changes.
func (db *DB) Changed() { db.known.forget() }

// State returns the versions of the catalogue and of the stock, as they were at most
// StateHolds ago.
func (db *DB) State(ctx context.Context) (standin.State, error) {
	state, changes, ok := db.known.get()
	if ok && !state.Before(standin.SeenIn(ctx)) {
		return state, nil
	}
	asked := time.Now()
	state, holds, err := db.askState(ctx)
	if err == nil {
		db.known.put(state, asked, holds, changes)
	}
	return state, err
}

// The pauses after which listening is tried again, where it cannot be had: on a
// standby, or while the database is away.
const (
	listenPause     = time.Second
	longListenPause = time.Minute
)

// Listen hears of changes that others make, until the context ends, so that State
// is seldom older than a few milliseconds. Where it cannot, on a standby or behind
// a pooler that gives each transaction another connection, State still keeps its
// promise.
func (db *DB) Listen(ctx context.Context) {
	go db.watch(ctx)
	for pause := listenPause; ctx.Err() == nil; pause = min(2*pause, longListenPause) {
		if heard := db.listen(ctx); heard {
			pause = listenPause
		}
		db.known.forget() // changes made meanwhile were not notified
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
	}
}

// listen listens on a connection of its own until that breaks. It reports whether
// anything was heard.
func (db *DB) listen(ctx context.Context) (heard bool) {
	conn, err := pgx.ConnectConfig(ctx, db.pool.Config().ConnConfig)
	if err != nil {
		return false
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "LISTEN catalogue_state"); err != nil {
		return false
	}
	db.known.forget()
	for {
		told, err := conn.WaitForNotification(ctx)
		if err != nil {
			return heard
		}
		db.heard(told.Payload)
		heard = true
	}
}
