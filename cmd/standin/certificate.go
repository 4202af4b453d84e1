package main

import (
	"crypto/tls"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"time"
)

// certificate is one out of files, read again when they have changed: who renews
// it need not stop the service.
type certificate struct {
	certFile, keyFile string
	log               *slog.Logger

	mu      sync.Mutex
	held    *tls.Certificate
	changed [2]time.Time // of the files, when held was read
	looked  time.Time
}

// lookEvery is how long the files are not looked at again.
const lookEvery = time.Second

func openCertificate(certFile, keyFile string, log *slog.Logger) (*certificate, error) {
	c := &certificate{certFile: certFile, keyFile: keyFile, log: log}
	if err := c.read(); err != nil {
		return nil, err
	}
	return c, nil
}

// get is the certificate for a connection. Files that cannot be used leave the one
// before in place.
func (c *certificate) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if time.Since(c.looked) > lookEvery {
		if err := c.read(); err != nil {
			c.log.Warn("the certificate is not renewed", "error", err)
		}
	}
	return c.held, nil
}

// read takes the files where they have changed since they were taken.
func (c *certificate) read() error {
	c.looked = time.Now()
	var changed [2]time.Time
	for i, name := range []string{c.certFile, c.keyFile} {
		info, err := os.Stat(name)
		if err != nil {
			return fmt.Errorf("%s cannot be read: %w", name, cause(err))
		}
		changed[i] = info.ModTime()
	}
	if changed == c.changed {
		return nil
	}
	pair, err := tls.LoadX509KeyPair(c.certFile, c.keyFile)
	if err != nil {
		return fmt.Errorf("%s and %s are no certificate and its key in PEM: %w", c.certFile, c.keyFile, err)
	}
	c.held, c.changed = &pair, changed
	return nil
}
