package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/demo"
	"standin/cmd/standin/tell"
	"standin/db/private"
	"standin/importer"
)

// demoMachine is the one that the demo answers for at its start: built with
// one harness and then with another, so that some boards need a loom and most
// depend on which it is.
var demoMachine = standin.Machine{
	ModelKey: standin.ModelKey{Brand: "Fenlask", Model: "Vask 690"},
	Location: "front",
}

func (p *program) demoCommand() *cli.Command {
	return &cli.Command{
		Name: "demo", Usage: "an invented catalogue, a first answer, and the HTTP API",
		Description: "It keeps a database of its own beside the real one, and leaves that alone. Other commands use it with " +
			"--data-dir, as it prints; so does standin token add, which makes a token for programs that change stock.",
		Flags: []cli.Flag{
			listenFlag(),
			publicURLFlag(""),
			readingFlag(),
			&cli.BoolFlag{Name: "once", Usage: "print the first answer and end, without the HTTP API"},
		},
		Action: p.demo,
	}
}

func (p *program) demo(ctx context.Context, c *cli.Command) (err error) {
	if err := noArgument(c); err != nil {
		return err
	}
	var open *doors
	if !c.Bool("once") {
		if open, err = openDoors(ctx, c); err != nil {
			return err
		}
		defer open.close()
	}
	dir, err := demoDir(c.String(flagDataDir))
	if err != nil {
		return err
	}
	s, err := p.openPrivate(ctx, dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.close(ctx)) }()
	if err := p.showDemo(ctx, s, dir); err != nil || open == nil {
		return err
	}
	config, err := configOf(c, open.main.Addr())
	if err != nil {
		return err
	}
	config.Log = slog.New(slog.NewTextHandler(p.stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	defer s.listen(ctx)()
	return p.serveOn(ctx, open, s, uploadsOf(c), config)
}

// demoDir is the demo's folder within the program's.
func demoDir(dir string) (string, error) {
	if dir == "" {
		var err error
		if dir, err = private.DefaultDir(); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, "demo"), nil
}

// showDemo fills the catalogue and answers for the demo's machine, as standin
// fit would.
func (p *program) showDemo(ctx context.Context, s *session, dir string) error {
	if err := importDemo(ctx, s); err != nil {
		return err
	}
	m := demoMachine
	p.note("$ standin fit --brand %s --model %q --location %s --data-dir %s\n", m.Brand, m.Model, m.Location, dir)
	a, err := ask(ctx, s, m)
	if err != nil {
		return err
	}
	if err := p.tellAnswer(a, false, tell.Detail{}); err != nil {
		return err
	}
	p.note("")
	return nil
}

// importDemo takes the demo bundle in; a second time it changes nothing.
func importDemo(ctx context.Context, store standin.Imports) (err error) {
	// The importer reads folders, as a person's bundle is one.
	work, err := os.MkdirTemp("", "standin-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(work)) }()
	if err := os.CopyFS(work, demo.Bundle); err != nil {
		return err
	}
	report, err := importer.Run(ctx, store, []string{filepath.Join(work, demo.BundleDir)}, importer.Options{By: "standin demo"})
	if err != nil {
		return err
	}
	if report.Errors > 0 {
		return fmt.Errorf("the demo bundle has errors: %s", report.Findings[0].Message)
	}
	return nil
}
