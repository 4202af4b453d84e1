package dbtest

import (
	"context"
	"errors"
	"fmt"
)

// way is one of the ways to a server.
type way func(ctx context.Context, getenv func(string) string) (*server, error)

var ways = map[string]way{"url": named, "installed": installed, "container": container}

// choose finds or starts the server as the environment asks.
func choose(ctx context.Context, getenv func(string) string) (*server, error) {
	if forced := getenv("STANDIN_TEST_SERVER"); forced != "" {
		w, ok := ways[forced]
		if !ok {
			return nil, fmt.Errorf("STANDIN_TEST_SERVER is %q; it may be url, installed or container", forced)
		}
		return w(ctx, getenv)
	}
	if getenv("STANDIN_TEST_DATABASE_URL") != "" {
		return named(ctx, getenv)
	}
	s, err := installed(ctx, getenv)
	if err == nil {
		return s, nil
	}
	s, err2 := container(ctx, getenv)
	if err2 != nil {
		return nil, fmt.Errorf("%w; %w", err, err2)
	}
	return s, nil
}

// named is the server that the environment names.
func named(ctx context.Context, getenv func(string) string) (*server, error) {
	rawURL := getenv("STANDIN_TEST_DATABASE_URL")
	if rawURL == "" {
		return nil, errors.New("STANDIN_TEST_DATABASE_URL is not set")
	}
	s, err := newServer(rawURL)
	if err != nil {
		return nil, fmt.Errorf("STANDIN_TEST_DATABASE_URL: %w", err)
	}
	if err := s.ping(ctx); err != nil {
		return nil, fmt.Errorf("STANDIN_TEST_DATABASE_URL: %w", err)
	}
	return s, nil
}
