package db

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
)

const (
	// setAside is for how long a server that was away is asked last.
	setAside = 2 * time.Second

	// someConnectTimeout is for one of several servers, where the URL does not set
	// its own: a question has to have time for another.
	someConnectTimeout = 1500 * time.Millisecond

	// watchEvery is how often the primary is asked for its state.
	watchEvery = time.Second
)

// server is one of several that have the database.
type server struct {
	name    string // host:port
	pool    *pgxpool.Pool
	primary atomic.Bool  // it said so when it answered last
	away    atomic.Int64 // until when it is asked last, in nanoseconds since 1970
	reads   atomic.Int64
	behind  atomic.Int64
}

// openServers opens each of the servers that a URL names, none where it is one alone.
func openServers(ctx context.Context, config *pgxpool.Config) ([]*server, error) {
	hosts := hostsOf(config.ConnConfig)
	if len(hosts) < 2 {
		return nil, nil
	}
	var servers []*server
	for _, host := range hosts {
		one := config.Copy()
		one.ConnConfig.Host, one.ConnConfig.Port, one.ConnConfig.TLSConfig = host[0].Host, host[0].Port, host[0].TLSConfig
		one.ConnConfig.Fallbacks = host[1:] // the same server, with TLS or without
		one.ConnConfig.ValidateConnect = nil
		pool, err := pgxpool.NewWithConfig(ctx, one)
		if err != nil {
			return nil, err
		}
		servers = append(servers, &server{name: net.JoinHostPort(host[0].Host, strconv.Itoa(int(host[0].Port))), pool: pool})
	}
	return servers, nil
}

// hostsOf are the ways to each server, in the order of the URL.
func hostsOf(c *pgx.ConnConfig) [][]*pgconn.FallbackConfig {
	var hosts [][]*pgconn.FallbackConfig
	at := map[string]int{}
	for _, way := range append([]*pgconn.FallbackConfig{{Host: c.Host, Port: c.Port, TLSConfig: c.TLSConfig}}, c.Fallbacks...) {
		name := fmt.Sprintf("%s:%d", way.Host, way.Port)
		if _, known := at[name]; !known {
			at[name] = len(hosts)
			hosts = append(hosts, nil)
		}
		hosts[at[name]] = append(hosts[at[name]], way)
	}
	return hosts
}

// ask asks this server within half of the time that is left, so that there is some
// for another.
func (s *server) ask(ctx context.Context, need standin.State, lost bool, queue func(*pgx.Batch)) (told serverState, err error) {
	deadline, _ := ctx.Deadline()
	try, cancel := context.WithTimeout(ctx, time.Until(deadline)/2)
	defer cancel()
	err = sendSnapshot(try, s.pool, queue, func(row pgx.Row) error {
		if err := row.Scan(&told.Catalogue, &told.Stock, &told.standby); err != nil {
			return err
		}
		if told.Before(need) && (told.standby || !lost) {
			return errBehind
		}
		return nil
	})
	switch {
	case err == nil:
		s.reads.Add(1)
		s.primary.Store(!told.standby)
		s.away.Store(0)
	case errors.Is(err, errBehind):
		s.behind.Add(1)
		s.primary.Store(!told.standby)
	case ctx.Err() == nil && (isAway(err) || try.Err() != nil):
		s.away.Store(time.Now().Add(setAside).UnixNano())
		s.pool.Reset()
	}
	return told, err
}

// inTurn are the servers in the order in which a question tries them.
func (db *DB) inTurn() []*server {
	var standbys, primaries, away []*server
	now := time.Now().UnixNano()
	for _, s := range db.servers {
		switch {
		case s.away.Load() > now:
			away = append(away, s)
		case s.primary.Load():
			primaries = append(primaries, s)
		default:
			standbys = append(standbys, s)
		}
	}
	if n := len(standbys); n > 1 {
		first := int(db.turn.Add(1) % uint64(n))
		standbys = append(standbys[first:n:n], standbys[:first]...)
	}
	return append(append(standbys, primaries...), away...)
}

// seenState is the newest state that anybody was told. It is safe for concurrent use.
type seenState struct {
	mu    sync.Mutex
	state standin.State
}

func (s *seenState) get() standin.State {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.state
}

// raise reports whether the state was news.
func (s *seenState) raise(to standin.State) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	news := s.state.Before(to)
	s.state = s.state.Newest(to)
	return news
}

// lower takes back what a failover has lost.
func (s *seenState) lower(to standin.State) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.state = to
}

// Seen is the newest state that anything was answered from or written in; zero
// where there is one server alone.
func (db *DB) Seen() standin.State { return db.seen.get() }

// saw takes note of the state that an answer is from.
func (db *DB) saw(told serverState, need standin.State) {
	if seen := db.seen.get(); !told.standby && told.Before(need) && told.Before(seen) {
		db.seen.lower(told.State)
		db.known.forget()
		return
	}
	if db.seen.raise(told.State) {
		db.known.forget() // what was known before is older than what is told now
	}
}

// Wrote is Changed where the state is known that the change led to: nobody is
// answered from before it, by whatever server.
func (db *DB) Wrote(state standin.State) {
	if len(db.servers) > 0 {
		db.seen.raise(state)
	}
	db.Changed()
}

// watch asks the primary for its state again and again, where there are several
// servers, so that no standby is taken for up to date that is further behind.
func (db *DB) watch(ctx context.Context) {
	if len(db.servers) == 0 {
		return
	}
	every := time.NewTicker(watchEvery)
	defer every.Stop()
	for {
		asked, cancel := context.WithTimeout(ctx, watchEvery)
		var told serverState
		if err := db.pool.QueryRow(asked, serverStateSQL).Scan(&told.Catalogue, &told.Stock, &told.standby); err == nil && db.seen.raise(told.State) {
			db.known.forget()
		}
		cancel()
		select {
		case <-ctx.Done():
			return
		case <-every.C:
		}
	}
}

// heard takes the state in that a notification tells.
func (db *DB) heard(payload string) {
	catalogue, stock, _ := strings.Cut(payload, " ")
	if state, ok := standin.ParseSeen(catalogue + "." + stock); ok && len(db.servers) > 0 {
		db.seen.raise(state)
	}
	db.known.forget()
}

// primaryOf is the configuration of the connections that write: to whichever of
// several servers is no standby, and never again over one that has become one.
func primaryOf(config *pgxpool.Config) *pgxpool.Config {
	config = config.Copy()
	config.ConnConfig.ValidateConnect = pgconn.ValidateConnectTargetSessionAttrsPrimary
	config.PrepareConn = func(_ context.Context, conn *pgx.Conn) (bool, error) {
		return conn.PgConn().ParameterStatus("in_hot_standby") != "on", nil
	}
	return config
}
