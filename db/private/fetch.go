package private

import (
	"context"
	"crypto/rand"
	"errors"
	"io"
	"net"
	"os"
	"path/filepath"

	embedded "github.com/fergusstrange/embedded-postgres"
)

// fetch brings PostgreSQL's programs into dir. The library fetches them only in
// the course of a start, so it gets a throw-away one.
func fetch(ctx context.Context, dir string) error {
	done := make(chan error, 1)
	go func() { done <- fetchInto(dir) }() // the library cannot be told to give up
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

func fetchInto(dir string) (err error) {
	work, err := os.MkdirTemp(filepath.Dir(dir), "fetch-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(work)) }()
	port, err := freePort()
	if err != nil {
		return err
	}
	unpacked := filepath.Join(work, "postgresql")
	throwAway := embedded.NewDatabase(embedded.DefaultConfig().
		Version(embedded.V17).
		Port(port).
		Password(rand.Text()).
		CachePath(filepath.Join(work, "cache")).
		RuntimePath(filepath.Join(work, "run")).
		BinariesPath(unpacked).
		StartParameters(map[string]string{"listen_addresses": "127.0.0.1", "unix_socket_directories": ""}).
		Logger(io.Discard))
	if err := throwAway.Start(); err != nil {
		return err
	}
	if err := throwAway.Stop(); err != nil {
		return err
	}
	return os.Rename(unpacked, dir)
}

func freePort() (uint32, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return uint32(l.Addr().(*net.TCPAddr).Port), nil
}
