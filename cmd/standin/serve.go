package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"syscall"
	"time"

	"github.com/urfave/cli/v3"

	"standin/api"
	"standin/db/shop"
)

const (
	flagListen  = "listen"
	flagReading = "reading"
)

// How long the server waits for a client, for what is under way at its end,
// and for an answer to be taken.
const (
	headerTime   = 5 * time.Second
	readTime     = 30 * time.Second
	writeTime    = 2 * time.Minute
	idleTime     = 2 * time.Minute
	shutdownTime = 10 * time.Second
)

func (p *program) serveCommand() *cli.Command {
	return &cli.Command{
		Name: "serve", Usage: "answer over HTTP until stopped",
		Flags:  []cli.Flag{listenFlag(), publicURLFlag(""), readingFlag()},
		Action: p.serve,
	}
}

func listenFlag() cli.Flag {
	return &cli.StringFlag{
		Name: flagListen, Usage: "address", Value: "127.0.0.1:8470", Sources: cli.EnvVars("STANDIN_LISTEN"),
	}
}

func (p *program) serve(ctx context.Context, c *cli.Command) error {
	if err := noArgument(c); err != nil {
		return err
	}
	listener, err := listen(ctx, c.String(flagListen))
	if err != nil {
		return err
	}
	defer listener.Close()
	return p.with(ctx, c, func(s *session) error {
		log := slog.New(slog.NewTextHandler(p.stderr, nil))
		return p.serveOn(ctx, c, listener, s, log)
	})
}

func readingFlag() cli.Flag {
	return &cli.StringFlag{
		Name: flagReading, Sources: cli.EnvVars("STANDIN_READING"),
		Usage: "who may read: open (whoever can connect) or token; by default open on a loopback address, else token",
	}
}

// needsToken reports whether reading needs a token at an address.
func needsToken(c *cli.Command, at net.Addr) (bool, error) {
	switch said := c.String(flagReading); said {
	case "":
		tcp, ok := at.(*net.TCPAddr)
		return !ok || !tcp.IP.IsLoopback(), nil
	case "open", "token":
		return said == "token", nil
	default:
		return false, misused(c, "--%s is open or token, not %q", flagReading, said)
	}
}

// listen takes the port first of all, so that one in use is said before a
// database is started.
func listen(ctx context.Context, address string) (net.Listener, error) {
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", address)
	switch {
	case err == nil:
		return listener, nil
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("%s is in use, perhaps by another standin; choose another with --%s, as --%s 127.0.0.1:8471",
			address, flagListen, flagListen)
	case errors.Is(err, syscall.EACCES):
		return nil, fmt.Errorf("the system does not let this user listen on %s; choose a port above 1023 with --%s", address, flagListen)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return nil, fmt.Errorf("%s is no address of this machine; choose another with --%s", address, flagListen)
	}
	return nil, &usageError{fmt.Sprintf("%q is not an address to listen on; write it as 127.0.0.1:8470", address)}
}

// serveOn answers on the listener until the context ends, then lets what is
// under way finish.
func (p *program) serveOn(ctx context.Context, c *cli.Command, listener net.Listener, s *session, log *slog.Logger) error {
	guarded, err := needsToken(c, listener.Addr())
	if err != nil {
		return err
	}
	shopStore := shop.NewStore(s.DB)
	handler, err := api.New(api.Config{
		Catalogue: s, Shop: shopStore, Tokens: shopStore, Guarded: guarded, Stopping: ctx.Done(), Log: log, Version: version(), PublicURL: c.String(flagPublicURL),
	})
	if err != nil {
		return err
	}
	server := &http.Server{
		Handler: handler, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
		ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
	}
	at := "http://" + listener.Addr().String()
	p.note("The counter page is at %s/", at)
	p.note("standin answers at %s/v1/fits, documented at %s/docs; Ctrl-C stops it", at, at)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return fmt.Errorf("the server ended by itself: %w", err)
	case <-ctx.Done():
	}
	rest, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	if err := server.Shutdown(rest); err != nil {
		return errors.Join(server.Close(), errors.New("not every answer under way could be finished"))
	}
	p.note("standin stopped")
	return nil
}
