package main

import (
	"context"
	"errors"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/api"
	"standin/cmd/standin/tell"
)

// errDoesNotTally is the outcome of a reading that is not as it must be.
var errDoesNotTally = errors.New("does not tally")

func (p *program) verifyCommand() *cli.Command {
	return &cli.Command{
		Name:      "verify",
		Usage:     "does a reading tally, and if not, what was mis-keyed",
		ArgsUsage: "READING",
		Description: "Say what was meant by --code with --family or --part, or by --brand and --model, whose " +
			"recorded code is then taken.\n\n" + readingHelp,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "family", Usage: "family of the board"},
			&cli.StringFlag{Name: "part", Usage: "part number of the board"},
			&cli.StringFlag{Name: "revision", Usage: "revision of the board, where its issue decides the code"},
			&cli.StringFlag{Name: "brand", Usage: "brand of the machine it is set for"},
			&cli.StringFlag{Name: "model", Usage: "model number of the machine it is set for"},
			&cli.StringFlag{Name: "variant", Usage: "product code, where one model number covers several"},
			&cli.StringFlag{Name: "build", Usage: "build of the machine, where it decides the code"},
			&cli.StringFlag{Name: "code", Usage: `code that was meant, as CAF or "C A F"`},
			jsonFlag(),
		},
		Action: p.verify,
	}
}

// readingHelp says how a reading is typed.
const readingHelp = "READING is what was seen, in the order of the points: " + standin.ReadingForms +
	". A point that is not a lamp is given by what it shows, 3 or red."

func (p *program) verify(ctx context.Context, c *cli.Command) error {
	reading, err := readingTyped(c)
	if err != nil {
		return err
	}
	asked := standin.ReadingAsked{
		Family: typed(c, "family"), PartNumber: typed(c, "part"), Revision: typed(c, "revision"),
		ModelKey: standin.ModelKey{Brand: typed(c, "brand"), Model: typed(c, "model"), Variant: typed(c, "variant")},
		Build:    typed(c, "build"), Code: typed(c, "code"), Reading: reading,
	}
	return p.with(ctx, c, func(s *session) error {
		verified, err := standin.VerifyReading(ctx, s, asked)
		if err != nil {
			return err
		}
		err = p.show(c.Bool(flagJSON), api.EncodeVerified(verified), tell.Verified(verified))
		if err == nil && verified.Tally == standin.DoesNotTally {
			return errDoesNotTally
		}
		return err
	})
}
