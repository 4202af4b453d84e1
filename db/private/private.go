// Package private runs a PostgreSQL of the program's own, for people who have
// not set one up.
//
// Its folder holds
//
//	lock      held while someone starts or stops the server
//	users     held, shared, by every program that uses the server
//	pg        the server's, entered by nobody but its account: data, log, socket
//
// The first program to come starts the server, others join it, the last one to
// leave stops it. The kernel gives up the locks of a program that was killed;
// its server goes on and is joined, and stopped, by the next. The server is
// reached through its socket alone, which is in a folder that only its account
// (and root) may enter.
package private

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
)

// Config says where the server lives.
type Config struct {
	Dir string                           // its folder, made where missing; empty: DefaultDir
	Log func(format string, args ...any) // told what is under way that takes time; may be nil
}

// Server is a running private PostgreSQL with the database standin.
type Server struct {
	home  home
	log   func(format string, args ...any)
	users *os.File // our shared lock; nil: stopped
	tools Binaries

	logged int64 // bytes of the log when it was started
}

// DefaultDir is the folder in the user's data directory, and for root one that
// PostgreSQL's unprivileged account may enter.
func DefaultDir() (string, error) {
	if os.Geteuid() == 0 {
		return "/var/lib/standin", nil
	}
	if data := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "standin"), nil
	}
	user, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no folder for the private database: %w", err)
	}
	return filepath.Join(user, ".local", "share", "standin"), nil
}

// Start joins the server of the folder, or starts it, the first time on a new
// database. An error is one sentence for people. The caller ends with Stop.
func Start(ctx context.Context, config Config) (*Server, error) {
	return start(ctx, config, source{find: Find, fetch: fetch})
}

func start(ctx context.Context, config Config, binaries source) (_ *Server, err error) {
	s := &Server{log: config.Log}
	if s.log == nil {
		s.log = func(string, ...any) {}
	}
	if s.home, err = openHome(config.Dir); err != nil {
		return nil, err
	}
	lock, err := s.home.lock(ctx)
	if err != nil {
		return nil, err
	}
	defer lock.Close()
	if err := s.home.settle(); err != nil {
		return nil, err
	}
	if s.users, err = s.home.use(); err != nil {
		return nil, err
	}
	if err := s.run(ctx, binaries); err != nil {
		return nil, errors.Join(err, s.users.Close())
	}
	s.mark()
	return s, nil
}

// run brings the server up and the database into it, under the lock.
func (s *Server) run(ctx context.Context, binaries source) (err error) {
	s.tools, err = s.home.choose(ctx, binaries, s.log)
	if err != nil {
		return err
	}
	if s.home.answers(ctx) {
		return s.home.ensureDatabase(ctx)
	}
	if err := s.launch(ctx); err != nil {
		return err
	}
	if err := s.home.ensureDatabase(ctx); err != nil {
		return errors.Join(err, s.halt(ctx))
	}
	return nil
}

// URL is where the database standin is. It names a socket, no password.
func (s *Server) URL() string { return s.home.url("standin", "standin") }

// Stop gives the server up, and stops it unless another program uses it. A
// second call does nothing.
func (s *Server) Stop(ctx context.Context) error {
	if s.users == nil {
		return nil
	}
	lock, err := s.home.lock(ctx)
	if err != nil {
		return err
	}
	defer lock.Close()
	last := onlyUser(s.users)
	err = s.users.Close()
	s.users = nil
	if !last {
		return err
	}
	return errors.Join(err, s.halt(ctx))
}

// url is the URL of a database for a role of the server.
func (h home) url(role, database string) string {
	u := url.URL{Scheme: "postgres", User: url.User(role), Path: "/" + database,
		RawQuery: url.Values{"host": {h.socket}, "port": {"5432"}}.Encode()}
	return u.String()
}
