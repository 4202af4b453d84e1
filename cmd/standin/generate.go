package main

import (
	"context"
	"fmt"

	"github.com/urfave/cli/v3"

	"standin/cmd/standin/tell"
	"standin/importer/generate"
)

// generateCommand is for those who develop or measure the program, and not shown.
func (p *program) generateCommand() *cli.Command {
	return &cli.Command{
		Name: "generate", Usage: "write an invented catalogue of any size as a bundle", ArgsUsage: "OUT",
		Hidden: true,
		Flags: []cli.Flag{
			&cli.IntFlag{Name: "models", Usage: "how many appliance models", Value: 1000, Validator: between(0, 100_000_000)},
			&cli.IntFlag{Name: "configurations", Usage: "how many configurations", Value: 5000, Validator: between(0, 100_000_000)},
			&cli.Uint64Flag{Name: "seed", Usage: "which of all such catalogues", Value: 1},
		},
		Action: p.generate,
	}
}

func (p *program) generate(_ context.Context, c *cli.Command) error {
	path, err := oneArgument(c, "the folder or the .zip to write")
	if err != nil {
		return err
	}
	made := generate.Catalogue{Models: c.Int("models"), Configurations: c.Int("configurations"), Seed: c.Uint64("seed")}
	if made.Models == 0 && made.Configurations > 0 {
		return misused(c, "configurations are for models; ask for some with --models")
	}
	if err := made.Write(path); err != nil {
		return err
	}
	return p.print(tell.Sentence(fmt.Sprintf("%s has %d models with %d configurations", path, made.Models, made.Configurations)))
}
