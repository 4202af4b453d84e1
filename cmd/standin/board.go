package main

import (
	"context"
	"net/url"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
)

// modelsShown is how many models a board is shown with.
const modelsShown = 40

func (p *program) boardCommand() *cli.Command {
	return &cli.Command{
		Name: "board", Usage: "what is recorded of one board or adaptor", ArgsUsage: "PART",
		Flags:  []cli.Flag{jsonFlag()},
		Action: p.board,
	}
}

func (p *program) board(ctx context.Context, c *cli.Command) error {
	part, err := oneArgument(c, "the part number")
	if err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		board, err := s.BoardOf(ctx, part)
		if standin.CodeOf(err) == standin.CodeNotFound {
			if adaptor, none := s.AdaptorOf(ctx, part); none == nil {
				return p.adaptor(ctx, s, adaptor, c.Bool(flagJSON))
			}
		}
		if c.Bool(flagJSON) {
			return p.printAPI(ctx, s, "/v1/boards/"+url.PathEscape(part), nil)
		}
		if err != nil {
			return err
		}
		models, err := s.ModelsOfBoard(ctx, part, standin.ModelKey{}, modelsShown+1)
		if err != nil {
			return err
		}
		return p.print(tell.Board(board, models[:min(modelsShown, len(models))], len(models) > modelsShown))
	})
}

func (p *program) adaptor(ctx context.Context, s *session, a *standin.AdaptorRecord, asJSON bool) error {
	if asJSON {
		return p.printAPI(ctx, s, "/v1/adaptors/"+url.PathEscape(a.PartNumber), nil)
	}
	return p.print(tell.Adaptor(a))
}
