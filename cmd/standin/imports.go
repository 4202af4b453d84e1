package main

import (
	"context"
	"strconv"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
)

func (p *program) undoCommand() *cli.Command {
	return &cli.Command{
		Name: "undo", Usage: "take an import back: exactly what it changed", ArgsUsage: "ID",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "by", Usage: "who takes it back, for the record", Value: userName(), HideDefault: true},
			liftStopsFlag(),
			jsonFlag(),
		},
		Action: p.undo,
	}
}

func (p *program) undo(ctx context.Context, c *cli.Command) error {
	typed, err := oneArgument(c, "the number of the import, as standin imports lists it")
	if err != nil {
		return err
	}
	id, err := strconv.ParseInt(typed, 10, 64)
	if err != nil || id < 1 {
		return misused(c, "%q is not the number of an import; standin imports lists them", typed)
	}
	return p.with(ctx, c, func(s *session) error {
		undone, err := s.Undo(ctx, id, standin.UndoRequest{By: c.String("by"), LiftStops: c.Bool(flagLiftStops)})
		if err != nil {
			return err
		}
		return p.show(c.Bool(flagJSON), encodeImport(undone), tell.Import(undone))
	})
}

func (p *program) importsCommand() *cli.Command {
	return &cli.Command{
		Name: "imports", Usage: "what was imported, newest first",
		Flags: []cli.Flag{
			&cli.Int64Flag{Name: "before", Usage: "only those before this `ID`"},
			&cli.IntFlag{Name: "limit", Usage: "how many at most", Value: 20, Validator: between(1, 1000)},
			jsonFlag(),
		},
		Action: p.imports,
	}
}

func (p *program) imports(ctx context.Context, c *cli.Command) error {
	if err := noArgument(c); err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		imports, err := s.ListImports(ctx, c.Int64("before"), c.Int("limit"))
		if err != nil {
			return err
		}
		return p.show(c.Bool(flagJSON), map[string]any{"imports": each(imports, encodeImport)}, tell.Imports(imports))
	})
}
