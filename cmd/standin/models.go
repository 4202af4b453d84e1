package main

import (
	"context"
	"net/url"
	"strconv"
	"strings"

	"github.com/urfave/cli/v3"

	"standin/cmd/standin/tell"
)

func (p *program) modelsCommand() *cli.Command {
	return &cli.Command{
		Name: "models", Usage: "find a model as typed or misread", ArgsUsage: "QUERY",
		Flags: []cli.Flag{
			&cli.IntFlag{Name: "limit", Usage: "how many at most", Value: 10, Validator: between(1, 50)},
			jsonFlag(),
		},
		Action: p.models,
	}
}

func (p *program) models(ctx context.Context, c *cli.Command) error {
	typed := strings.TrimSpace(strings.Join(c.Args().Slice(), " "))
	if typed == "" {
		return misused(c, "say what is on the plate, as %s \"BRAND MODEL\"", c.FullName())
	}
	limit := c.Int("limit")
	return p.with(ctx, c, func(s *session) error {
		if c.Bool(flagJSON) {
			return p.printAPI(ctx, s, "/v1/models", url.Values{"q": {typed}, "limit": {strconv.Itoa(limit)}})
		}
		matches, err := s.FindModels(ctx, typed, limit)
		if err != nil {
			return err
		}
		return p.print(tell.Models(typed, matches))
	})
}
