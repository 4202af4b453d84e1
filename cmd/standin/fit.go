package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/api"
	"standin/cmd/standin/tell"
)

// nearestShown is how many models are offered where one was not named exactly.
const nearestShown = 5

func (p *program) fitCommand() *cli.Command {
	return &cli.Command{
		Name:      "fit",
		Usage:     "which boards can stand in for the one in this machine",
		ArgsUsage: `["BRAND MODEL"]`,
		Description: "Name the model with --brand and --model, or as the words on the plate where they " +
			"name exactly one model. Whatever else is known of the machine narrows the answer.",
		Flags: append(machineFlags(),
			&cli.BoolFlag{Name: "all", Usage: "list boards that do not fit too, with the reasons"},
			&cli.BoolFlag{Name: "why", Usage: "give the reason of every check, also of those that passed"},
			jsonFlag(),
		),
		Action: p.fit,
	}
}

// machineFlags describe a machine; machineOf reads them.
func machineFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "brand", Usage: "brand on the rating plate"},
		&cli.StringFlag{Name: "model", Usage: "model number on the rating plate"},
		&cli.StringFlag{Name: "variant", Usage: "product code, where one model number covers several"},
		&cli.StringFlag{Name: "made", Usage: "date of making, as 2004-09 or 2001-03/2001-05"},
		&cli.StringFlag{Name: "serial", Usage: "serial number"},
		&cli.StringFlag{Name: "plug", Usage: `ways of the plugs seen, as 10 or "6 2 2", and after no those not there, as "10 no 6"`},
		&cli.StringFlag{Name: "position", Usage: "which of its boards, as control or display"},
		&cli.StringFlag{Name: "old-part", Usage: "number on the board that came out"},
		&cli.StringFlag{Name: "location", Usage: "where stock is wanted"},
	}
}

func (p *program) fit(ctx context.Context, c *cli.Command) error {
	m, err := machineOf(c)
	if err != nil {
		return err
	}
	words := strings.Join(c.Args().Slice(), " ")
	switch named := m.Brand != "" || m.Model != "" || m.Variant != ""; {
	case words != "" && named:
		return misused(c, "name the model either with flags or in words, not both (%q is left over)", words)
	case words == "" && (m.Brand == "" || m.Model == ""):
		return misused(c, "name the model with --brand and --model")
	}
	return p.with(ctx, c, func(s *session) error {
		if words != "" {
			if m.ModelKey, err = meant(ctx, s, words); err != nil {
				return err
			}
		}
		a, err := ask(ctx, s, m)
		if err != nil {
			return err
		}
		return p.tellAnswer(a, c.Bool(flagJSON), tell.Detail{All: c.Bool("all"), Why: c.Bool("why")})
	})
}

// machineOf is the machine that the flags describe.
func machineOf(c *cli.Command) (standin.Machine, error) {
	m := standin.Machine{
		ModelKey: standin.ModelKey{Brand: typed(c, "brand"), Model: typed(c, "model"), Variant: typed(c, "variant")},
		Serial:   typed(c, "serial"), OldPart: typed(c, "old-part"), Position: typed(c, "position"), Location: typed(c, "location"),
	}
	var err error
	if m.Made, err = standin.ParseMade(typed(c, "made")); err != nil {
		return m, misused(c, "--made: %s", err)
	}
	if m.Plug, m.NoPlug, err = standin.ParsePlug(typed(c, "plug")); err != nil {
		return m, misused(c, "--plug: %s", err)
	}
	return m, nil
}

// meant is the one model that words from a plate name exactly.
func meant(ctx context.Context, catalogue standin.Catalogue, words string) (standin.ModelKey, error) {
	matches, err := catalogue.FindModels(ctx, words, nearestShown)
	if err != nil {
		return standin.ModelKey{}, err
	}
	exact := slices.DeleteFunc(slices.Clone(matches), func(m standin.ModelMatch) bool { return m.Nearness < 1 })
	switch len(exact) {
	case 1:
		return exact[0].ModelKey, nil
	case 0:
		return standin.ModelKey{}, &standin.Error{Code: standin.CodeUnknownModel, Field: "model", Nearest: matches,
			Message: fmt.Sprintf("no model %q is recorded", words)}
	}
	return standin.ModelKey{}, &standin.Error{Code: standin.CodeUnknownModel, Field: "model", Nearest: exact,
		Message: fmt.Sprintf("%q names more than one model", words)}
}

// ask answers for one machine.
func ask(ctx context.Context, catalogue standin.Catalogue, m standin.Machine) (*standin.Answer, error) {
	results, err := standin.Ask(ctx, catalogue, []standin.Machine{m})
	if err != nil {
		return nil, err
	}
	if r := results[0]; r.Err != nil {
		return nil, r.Err
	}
	return results[0].Answer, nil
}

// tellAnswer prints an answer, and is errNothingFits where it names no board.
func (p *program) tellAnswer(a *standin.Answer, asJSON bool, detail tell.Detail) error {
	err := p.show(asJSON, api.EncodeAnswer(a, detail.All), tell.Answer(a, detail))
	if err == nil && (len(a.Candidates) == 0 || a.Candidates[0].Verdict == standin.No) {
		return errNothingFits
	}
	return err
}
