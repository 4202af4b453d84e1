package main

import (
	"context"
	"errors"
	"time"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/private"
)

// session is an open catalogue, for questions and for bundles, and the private
// server it is on, if it is.
type session struct {
	*db.DB
	*bundle.Store
	server *private.Server // nil: a database of the user's own
}

// stopTime is how long a private server may take to stop.
const stopTime = 30 * time.Second

// open opens the database that the command line names, and refuses one whose
// schema is not this program's; where none is named, the private one, started
// and migrated. The caller ends with close.
func (p *program) open(ctx context.Context, c *cli.Command) (*session, error) {
	url := c.String(flagDatabase)
	if url == "" {
		return p.openPrivate(ctx, c.String(flagDataDir))
	}
	store, err := db.Open(ctx, url)
	if err != nil {
		return nil, err
	}
	if err := store.Ready(ctx); err != nil {
		store.Close()
		return nil, err
	}
	return &session{DB: store, Store: bundle.NewStore(store)}, nil
}

// openPrivate opens the program's own database in a folder.
func (p *program) openPrivate(ctx context.Context, dir string) (_ *session, err error) {
	server, err := private.Start(ctx, private.Config{Dir: dir, Log: p.note})
	if err != nil {
		return nil, err
	}
	s := &session{server: server}
	defer func() {
		if err != nil {
			err = errors.Join(err, s.close(ctx))
		}
	}()
	if err := migrateUp(ctx, server.URL()); err != nil {
		return nil, err
	}
	if s.DB, err = db.Open(ctx, server.URL()); err != nil {
		return nil, err
	}
	s.Store = bundle.NewStore(s.DB)
	return s, nil
}

// listen hears of changes that other programs make, until what it returns is called.
func (s *session) listen(ctx context.Context) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		s.Listen(ctx)
	}()
	return func() {
		cancel()
		<-ended
	}
}

// close gives up the database, also where the context is at its end.
func (s *session) close(ctx context.Context) error {
	if s.DB != nil {
		s.DB.Close()
	}
	if s.server == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
	defer cancel()
	return s.server.Stop(ctx)
}

// with opens the database, does what is asked, and closes it.
func (p *program) with(ctx context.Context, c *cli.Command, do func(*session) error) (err error) {
	s, err := p.open(ctx, c)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.close(ctx)) }()
	return s.explain(do(s))
}

// explain returns an error as it is, or says that the disk of the private server is
// full where that is why the server was lost.
func (s *session) explain(err error) error {
	if standin.CodeOf(err) != standin.CodeUnavailable || s.server == nil || !s.server.DiskFull() {
		return err
	}
	return &standin.Error{Code: standin.CodeNoSpace, Cause: err,
		Message: "the disk of the database is full, and it stopped; make room and try again"}
}
