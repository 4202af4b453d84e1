package main

import (
	"context"
	"errors"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/api"
	"standin/cmd/standin/tell"
)

// errNothingAsRead is the outcome of a reading that no recorded setting has.
var errNothingAsRead = errors.New("nothing recorded is as read")

func (p *program) identifyCommand() *cli.Command {
	return &cli.Command{
		Name:        "identify",
		Usage:       "what a board is set for, by what was read back",
		ArgsUsage:   "READING",
		Description: "Without --family and --part every family that reads so many points is looked through.\n\n" + readingHelp,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "family", Usage: "family of the board"},
			&cli.StringFlag{Name: "part", Usage: "part number of the board"},
			&cli.IntFlag{Name: "limit", Usage: "how many settings at most", Value: 10, Validator: between(1, 100)},
			jsonFlag(),
		},
		Action: p.identify,
	}
}

func (p *program) identify(ctx context.Context, c *cli.Command) error {
	reading, err := readingTyped(c)
	if err != nil {
		return err
	}
	asked := standin.IdentifyAsked{
		Family: typed(c, "family"), PartNumber: typed(c, "part"), Reading: reading, Limit: c.Int("limit"),
	}
	return p.with(ctx, c, func(s *session) error {
		identified, err := standin.IdentifyReading(ctx, s, asked)
		if err != nil {
			return err
		}
		err = p.show(c.Bool(flagJSON), api.EncodeIdentification(identified), tell.Identification(identified))
		if err == nil && identified.Exact == 0 {
			return errNothingAsRead
		}
		return err
	})
}
