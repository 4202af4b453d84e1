package shop

import (
	"context"
	"sync"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
)

const listenSQL = `LISTEN catalogue_state`

// ear hears of changes, over one connection for all who wait and none where
// nobody does. It is safe for concurrent use.
type ear struct {
	pool *pgxpool.Pool

	mu      sync.Mutex
	waiting int
	stop    context.CancelFunc
	told    chan struct{} // closed when something may have changed, and replaced
}

// join has the caller told of changes until it leaves. next is a channel that is
// closed at the next one; a change before next was called is not told.
func (e *ear) join() (next func() <-chan struct{}, leave func()) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.waiting++; e.waiting == 1 {
		ctx, stop := context.WithCancel(context.Background())
		e.stop, e.told = stop, make(chan struct{})
		go e.listen(ctx)
	}
	next = func() <-chan struct{} {
		e.mu.Lock()
		defer e.mu.Unlock()
		return e.told
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

// tell tells all who wait that something may have changed.
func (e *ear) tell() {
	e.mu.Lock()
	defer e.mu.Unlock()
	close(e.told)
	e.told = make(chan struct{})
}

// listen tells of every notification until the context ends. A connection that is
// lost is made again; meanwhile those who wait ask by themselves.
func (e *ear) listen(ctx context.Context) {
	for ctx.Err() == nil {
		e.hear(ctx)
		select {
		case <-ctx.Done():
		case <-time.After(fallback):
		}
	}
}

func (e *ear) hear(ctx context.Context) {
	pooled, err := e.pool.Acquire(ctx)
	if err != nil {
		return
	}
	conn := pooled.Hijack() // one that listens is no use to others
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, listenSQL); err != nil {
		return
	}
	e.tell() // of what came before it listened
	for {
		if _, err := conn.WaitForNotification(ctx); err != nil {
			return
		}
		e.tell()
	}
}
