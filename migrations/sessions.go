package migrations

import (
	"context"
	"database/sql"
	"fmt"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
)

// sessions are the connections of a migration. The library does its statements
// without a context, so they are broken off from outside.
type sessions struct {
	mu   sync.Mutex
	open []*pgx.Conn
}

const (
	cancelEvery = 100 * time.Millisecond
	cancelTime  = 3 * time.Second // after which a connection is closed whose server does not heed
)

// connect prepares the connections to a database.
func (s *sessions) connect(url string) (*sql.DB, error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("the database URL cannot be used: %w", err)
	}
	return stdlib.OpenDB(*config, stdlib.OptionAfterConnect(func(ctx context.Context, conn *pgx.Conn) error {
		s.mu.Lock()
		s.open = append(s.open, conn)
		s.mu.Unlock()
		if config.RuntimeParams["lock_timeout"] != "" {
			return nil
		}
		_, err := conn.Exec(ctx, fmt.Sprintf("SET lock_timeout = %d", lockTime.Milliseconds()))
		return err
	})), nil
}

// interrupted does something; where the context ends meanwhile, its statements are
// cancelled until it returns.
func (s *sessions) interrupted(ctx context.Context, do func() error) error {
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		select {
		case <-done:
		case <-ctx.Done():
			s.cancel(context.WithoutCancel(ctx), done)
		}
	}()
	err := do()
	close(done)
	<-ended // a cancellation that came late would be of what follows
	return err
}

// cancel cancels again and again: a request that comes between two statements does
// nothing.
func (s *sessions) cancel(ctx context.Context, done <-chan struct{}) {
	ctx, stop := context.WithTimeout(ctx, cancelTime)
	defer stop()
	again := time.NewTicker(cancelEvery)
	defer again.Stop()
	for {
		for _, conn := range s.conns() {
			// The error is deliberately ignored: the next request is soon.
			_ = conn.PgConn().CancelRequest(ctx)
		}
		select {
		case <-done:
			return
		case <-again.C:
		case <-ctx.Done():
			for _, conn := range s.conns() {
				_ = conn.PgConn().Conn().Close() // likewise: nothing is expected of it any more
			}
			return
		}
	}
}

func (s *sessions) conns() []*pgx.Conn {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.open[:len(s.open):len(s.open)]
}
