package api

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/netip"
	"net/url"
	"strings"
	"time"

	"standin"
)

// Config is what New needs.
type Config struct {
	Catalogue standin.Catalogue
	Shop      standin.Shop   // nil: nothing of stock, holds and fittings can be asked or changed
	Tokens    standin.Tokens // nil: no token counts
	Intake    standin.Intake // nil: no bundle can be sent
	Guarded   bool           // reading needs a token too
	Log       *slog.Logger   // nil: nothing is logged
	Version   string         // of the program
	PublicURL string         // at which clients reach the service, with a path if it has one; empty: that of each connection

	// TrustedProxies are those whose X-Forwarded-For is believed. Of anybody else
	// it is not: a client may say there what it likes.
	TrustedProxies []netip.Prefix

	// Origins are the web sites (https://shop.example) whose pages may read the
	// API's answers; "*" is any. None: browsers keep them from it.
	Origins []string

	// RateLimit is how many requests one caller may make in a minute; 0: any number.
	RateLimit int

	QuestionTime time.Duration // that a question may take, and a change three times as long; 0: 5 s
	ReadyTime    time.Duration // that finding out whether questions can be answered may take; 0: 2 s

	Measured     []standin.Measured // whose figures are among the metrics
	MetricsApart bool               // /metrics is not among the addresses; see Service.Metrics

	// Stopping is done when the service is to stop: bodies are no longer waited
	// for. nil: never.
	Stopping context.Context
}

// check fills in what may be left out. The error says what is wrong.
func (c *Config) check() error {
	if c.Catalogue == nil {
		return errors.New("api: no catalogue to answer from")
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Stopping == nil {
		c.Stopping = context.Background()
	}
	c.QuestionTime, c.ReadyTime = cmp.Or(c.QuestionTime, questionTime), cmp.Or(c.ReadyTime, readyTime)
	if c.QuestionTime < 0 || c.ReadyTime < 0 {
		return fmt.Errorf("api: %s for a question and %s for readiness", c.QuestionTime, c.ReadyTime)
	}
	if c.RateLimit < 0 {
		return fmt.Errorf("api: a limit of %d requests a minute", c.RateLimit)
	}
	if err := CheckPublicURL(c.PublicURL); err != nil {
		return fmt.Errorf("api: the public URL: %w", err)
	}
	c.PublicURL = strings.TrimRight(c.PublicURL, "/")
	for _, origin := range c.Origins {
		if err := CheckOrigin(origin); err != nil {
			return fmt.Errorf("api: %w", err)
		}
	}
	return nil
}

// CheckPublicURL returns what is wrong with an address of the service, nil where
// nothing is, or there is none.
func CheckPublicURL(text string) error {
	if text == "" {
		return nil
	}
	u, err := url.Parse(text)
	if err != nil || u.Host == "" || u.User != nil || u.Scheme != "http" && u.Scheme != "https" || u.RawQuery != "" || u.Fragment != "" {
		return fmt.Errorf("%q is no address of a service; give it as https://boards.example", text)
	}
	if !plainPath(u) {
		return fmt.Errorf("the path of %q has to be of letters, digits, dots, dashes and underscores, as https://shop.example/boards", text)
	}
	return nil
}

// CheckOrigin returns what is wrong with an origin (RFC 6454, 7: scheme, host and
// port, no more), nil where nothing is.
func CheckOrigin(text string) error {
	u, err := url.Parse(text)
	if text == "*" || err == nil && u.Host != "" && (u.Scheme == "http" || u.Scheme == "https") && text == u.Scheme+"://"+u.Host {
		return nil
	}
	return fmt.Errorf("%q is not where web pages come from; give it as https://shop.example, or as * for any", text)
}
