package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/http/pprof"
	"syscall"
	"time"

	"github.com/urfave/cli/v3"

	"standin/api"
	"standin/db/shop"
	"standin/importer/intake"
)

const flagReading = "reading"

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
		Description: "Metrics for Prometheus are at /metrics, or at an address of their own. With a certificate " +
			"it answers over HTTPS alone. Every flag but the database's may be given as STANDIN_ and its name.",
		Flags:  serveFlags(),
		Action: p.serve,
	}
}

func (p *program) serve(ctx context.Context, c *cli.Command) error {
	if err := noArgument(c); err != nil {
		return err
	}
	log := p.logOf(c)
	secret, err := certificateOf(c, log)
	if err != nil {
		return err
	}
	doors, err := openDoors(ctx, c)
	if err != nil {
		return err
	}
	defer doors.close()
	config, err := configOf(c, doors.main.Addr())
	if err != nil {
		return err
	}
	config.Log = log
	doors.secret = secret
	return p.with(ctx, c, func(s *session) error {
		limitMemory(log) // not before: a service that cannot start says why and nothing else
		defer s.listen(ctx)()
		return p.serveOn(ctx, doors, s, uploadsOf(c), config)
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

// certificateOf is the certificate of a command line, nil where there is none.
func certificateOf(c *cli.Command, log *slog.Logger) (*certificate, error) {
	certFile, keyFile := c.String(flagTLSCert), c.String(flagTLSKey)
	switch {
	case certFile == "" && keyFile == "":
		return nil, nil
	case certFile == "" || keyFile == "":
		return nil, misused(c, "--%s and --%s go together", flagTLSCert, flagTLSKey)
	}
	return openCertificate(certFile, keyFile, log)
}

// doors are the addresses that the service answers at.
type doors struct {
	main, metrics, debug net.Listener // nil: none of its own
	secret               *certificate // of main; nil: no TLS
}

// openDoors takes the ports first of all, so that one in use is said before a
// database is started.
func openDoors(ctx context.Context, c *cli.Command) (_ *doors, err error) {
	d := &doors{}
	defer func() {
		if err != nil {
			d.close()
		}
	}()
	if d.main, err = listen(ctx, flagListen, c.String(flagListen)); err != nil {
		return nil, err
	}
	for flag, into := range map[string]*net.Listener{flagMetricsListen: &d.metrics, flagDebugListen: &d.debug} {
		if address := c.String(flag); address != "" {
			if *into, err = listen(ctx, flag, address); err != nil {
				return nil, err
			}
		}
	}
	return d, nil
}

func (d *doors) close() {
	for _, l := range []net.Listener{d.main, d.metrics, d.debug} {
		if l != nil {
			l.Close()
		}
	}
}

// listen takes the port of a flag's address.
func listen(ctx context.Context, flag, address string) (net.Listener, error) {
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", address)
	switch {
	case err == nil:
		return listener, nil
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("%s is in use, perhaps by another standin; choose another with --%s, as --%s 127.0.0.1:8471",
			address, flag, flag)
	case errors.Is(err, syscall.EACCES):
		return nil, fmt.Errorf("the system does not let this user listen on %s; choose a port above 1023 with --%s", address, flag)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return nil, fmt.Errorf("%s is no address of this machine; choose another with --%s", address, flag)
	}
	return nil, &usageError{fmt.Sprintf("%q is not an address to listen on; write it as 127.0.0.1:8470", address)}
}

// serveOn answers at the doors until the context ends, then lets what is under
// way finish.
func (p *program) serveOn(ctx context.Context, d *doors, s *session, bundles intake.Config, config api.Config) (err error) {
	stop, err := s.takeIn(bundles, &config)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, stop()) }()
	store := shop.NewStore(s.DB)
	config.Catalogue, config.Shop, config.Tokens, config.Stopping = s, store, store, ctx
	config.Measured = append(config.Measured, s)
	service, err := api.New(config)
	if err != nil {
		return err
	}
	main := serverOf(service, config.Log)
	servers, ended := []*http.Server{main}, make(chan error, 3)
	scheme := "http"
	if d.secret != nil {
		scheme = "https"
		main.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: d.secret.get}
		go func() { ended <- main.ServeTLS(d.main, "", "") }()
	} else {
		go func() { ended <- main.Serve(d.main) }()
	}
	open := func(at net.Listener, path string, handler http.Handler) {
		if at != nil {
			p.note("%s is at http://%s%s", path, at.Addr(), path)
			s := serverOf(handler, config.Log)
			servers = append(servers, s)
			go func() { ended <- s.Serve(at) }()
		}
	}
	open(d.metrics, "/metrics", onlyAt("/metrics", service.Metrics()))
	open(d.debug, "/debug/pprof/", debugging())
	at := scheme + "://" + d.main.Addr().String()
	p.note("The counter page is at %s/", at)
	p.note("standin answers at %s/v1/fits, documented at %s/docs; Ctrl-C stops it", at, at)
	select {
	case err := <-ended:
		return fmt.Errorf("the server ended by itself: %w", err)
	case <-ctx.Done():
	}
	return p.shutDown(ctx, servers)
}

// shutDown lets what is under way finish, for a while.
func (p *program) shutDown(ctx context.Context, servers []*http.Server) error {
	rest, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	for _, s := range servers {
		if err := s.Shutdown(rest); err != nil {
			return errors.Join(s.Close(), errors.New("not every answer under way could be finished"))
		}
	}
	p.note("standin stopped")
	return nil
}

func serverOf(handler http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler: handler, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
		ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
	}
}

func onlyAt(path string, handler http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET "+path, handler)
	return mux
}

// debugging shows how the program spends its time and memory.
func debugging() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /debug/pprof/", pprof.Index)
	mux.HandleFunc("GET /debug/pprof/cmdline", pprof.Cmdline)
	mux.HandleFunc("GET /debug/pprof/profile", pprof.Profile)
	mux.HandleFunc("GET /debug/pprof/symbol", pprof.Symbol)
	mux.HandleFunc("GET /debug/pprof/trace", pprof.Trace)
	return mux
}
