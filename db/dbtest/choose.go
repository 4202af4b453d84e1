package dbtest

import (
	"context"
	"errors"
	"fmt"
)

// choose finds or starts the server as the environment asks.
func choose(ctx context.Context, getenv func(string) string) (*server, error) {
	ways := map[string]func(context.Context, func(string) string) (*server, error){
		"url":       named,
		"installed": installed,
	}
	if forced := getenv("STANDIN_TEST_SERVER"); forced != "" {
		way, ok := ways[forced]
		if !ok {
			return nil, fmt.Errorf("STANDIN_TEST_SERVER is %q; it may be url, installed or container", forced)
		}
		return way(ctx, getenv)
	}
	if getenv("STANDIN_TEST_DATABASE_URL") != "" {
		return named(ctx, getenv)
	}
	return installed(ctx, getenv)
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
