package shop

import (
	"context"
	"sync"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
)

const listenSQL = `LISTEN catalogue_state`

// ear listens for changes: over one connection for all who wait, and over none
// while nobody does. It is safe for concurrent use.
type ear struct {
	pool *pgxpool.Pool

	mu      sync.Mutex
	waiting int
	stop    context.CancelFunc
	changed chan struct{} // closed when something may have changed, and replaced
}

// join makes the ear listen until the caller calls leave. next returns a channel that
// is closed at the next change; changes before the call of next do not close it.
func (e *ear) join() (next func() <-chan struct{}, leave func()) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.waiting++; e.waiting == 1 {
		ctx, stop := context.WithCancel(context.Background())
		e.stop, e.changed = stop, make(chan struct{})
		go e.listen(ctx)
	}
	next = func() <-chan struct{} {
		e.mu.Lock()
		defer e.mu.Unlock()
		return e.changed
	}
	leave = func() {
		e.mu.Lock()
		defer e.mu.Unlock()
		if e.waiting--; e.waiting == 0 {
			e.stop()
		}
	}
	return next, leave
}

// wake wakes all who wait, because something may have changed.
func (e *ear) wake() {
	e.mu.Lock()
	defer e.mu.Unlock()
	close(e.changed)
	e.changed = make(chan struct{})
}

// listen wakes those who wait at every notification until the context ends. A lost
// connection is replaced; meanwhile those who wait poll.
func (e *ear) listen(ctx context.Context) {
	for ctx.Err() == nil {
		e.hear(ctx)
		select {
		case <-ctx.Done():
		case <-time.After(fallback):
		}
	}
}

// hear listens on one connection until that is lost.
func (e *ear) hear(ctx context.Context) {
	pooled, err := e.pool.Acquire(ctx)
	if err != nil {
		return
	}
	conn := pooled.Hijack() // a connection that listens cannot go back to the pool
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, listenSQL); err != nil {
		return
	}
	e.wake() // for changes before it listened
	for {
		if _, err := conn.WaitForNotification(ctx); err != nil {
			return
		}
		e.wake()
	}
}
