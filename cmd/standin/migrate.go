package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/urfave/cli/v3"

	"standin/db"
	"standin/db/bundle"
	"standin/db/private"
	"standin/migrations"
)

func (p *program) migrateCommand() *cli.Command {
	return &cli.Command{
		Name: "migrate", Usage: "take the database's schema up or down, or see where it is",
		Commands: []*cli.Command{
			{
				Name: "up", Usage: "to the version of this program",
				Action: p.migration(func(ctx context.Context, _ *cli.Command, url string) error { return migrateUp(ctx, url) }),
			},
			{
				Name: "down", Usage: "back, and all that the steps taken back hold is lost",
				Flags: []cli.Flag{&cli.IntFlag{Name: "steps", Usage: "how many", Value: 1, Validator: between(1, 1_000_000)}},
				Action: p.migration(func(ctx context.Context, c *cli.Command, url string) error {
					return migrations.Down(ctx, url, c.Int("steps"))
				}),
			},
			{
				Name: "status", Usage: "where the schema stands", Flags: []cli.Flag{jsonFlag()},
				Action: p.migration(func(context.Context, *cli.Command, string) error { return nil }),
			},
		},
	}
}

// migration returns the action that does a step and prints the state of the schema.
func (p *program) migration(step func(context.Context, *cli.Command, string) error) cli.ActionFunc {
	return func(ctx context.Context, c *cli.Command) error {
		if err := noArgument(c); err != nil {
			return err
		}
		return p.withURL(ctx, c, func(url string) error {
			if err := step(ctx, c, url); err != nil {
				return stoppedMigration(ctx, url, err)
			}
			status, err := migrations.StatusOf(ctx, url)
			if err != nil {
				return err
			}
			return p.tellStatus(status, c.Bool(flagJSON))
		})
	}
}

// statusTime is how long a migration that was stopped may take to tell where the
// schema stands.
const statusTime = 5 * time.Second

// stoppedError is what was stopped by the user, in a sentence that says how far it
// got.
type stoppedError struct{ message string }

func (e *stoppedError) Error() string { return e.message }

// stoppedMigration is the error of a migration: one that was stopped says where the
// schema stands.
func stoppedMigration(ctx context.Context, url string, err error) error {
	if ctx.Err() == nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), statusTime)
	defer cancel()
	status, statusErr := migrations.StatusOf(ctx, url)
	if statusErr != nil {
		return err
	}
	return &stoppedError{"stopped before it was done; " + stands(status)}
}

// migrateUp takes the schema up and works out what the program keeps in it besides
// what bundles say.
func migrateUp(ctx context.Context, url string) error {
	if err := migrations.Up(ctx, url); err != nil {
		return err
	}
	store, err := db.Open(ctx, url)
	if err != nil {
		return err
	}
	defer store.Close()
	return bundle.NewStore(store).WorkOutTrust(ctx)
}

// withURL does what is asked with the database named on the command line, else
// the private one, whatever its schema.
func (p *program) withURL(ctx context.Context, c *cli.Command, do func(url string) error) error {
	if url := c.String(flagDatabase); url != "" {
		store, err := db.Open(ctx, url) // to have the URL read; it does not connect
		if err != nil {
			return err
		}
		store.Close()
		return do(url)
	}
	server, err := private.Start(ctx, private.Config{Dir: c.String(flagDataDir), Log: p.note})
	if err != nil {
		return err
	}
	s := &session{server: server}
	return errors.Join(do(server.URL()), s.close(ctx))
}

func (p *program) tellStatus(s migrations.Status, asJSON bool) error {
	return p.show(asJSON, map[string]any{"version": s.Version, "latest": s.Latest, "dirty": s.Dirty}, stands(s)+"\n")
}

// stands says where the schema stands, and what to do about it.
func stands(s migrations.Status) string {
	said := fmt.Sprintf("the schema is version %d of %d", s.Version, s.Latest)
	switch {
	case s.Dirty:
		return said + "; its last step was broken off half-way: restore the database from a backup"
	case s.Version > s.Latest:
		return fmt.Sprintf("the schema is version %d, newer than the %d of this program: use a newer standin", s.Version, s.Latest)
	case s.Version < s.Latest:
		return said + "; standin migrate up takes it on"
	}
	return said
}
