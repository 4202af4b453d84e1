package main

import (
	"context"
	"net/url"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
)

// familiesAtOnce is how many families are read at once, and the most that the
// JSON lists.
const familiesAtOnce = 200

func (p *program) familyCommand() *cli.Command {
	return &cli.Command{
		Name: "family", Usage: "a family's selector, points, procedure and code map", ArgsUsage: "[NAME]",
		Description: "Without a name it lists all families.",
		Flags:       []cli.Flag{jsonFlag()},
		Action:      p.family,
	}
}

func (p *program) family(ctx context.Context, c *cli.Command) error {
	if !c.Args().Present() {
		return p.with(ctx, c, func(s *session) error { return p.families(ctx, s, c.Bool(flagJSON)) })
	}
	name, err := oneArgument(c, "the family")
	if err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		if c.Bool(flagJSON) {
			return p.printAPI(ctx, s, "/v1/families/"+url.PathEscape(name), nil)
		}
		family, err := s.PreparedFamily(ctx, name)
		if err != nil {
			return err
		}
		return p.print(tell.Family(family))
	})
}

func (p *program) families(ctx context.Context, catalogue standin.Catalogue, asJSON bool) error {
	if asJSON {
		return p.printAPI(ctx, catalogue, "/v1/families", url.Values{"limit": {"200"}})
	}
	var all []standin.Family
	for after := ""; ; after = all[len(all)-1].Name {
		page, err := catalogue.ListFamilies(ctx, after, familiesAtOnce)
		if err != nil {
			return err
		}
		all = append(all, page...)
		if len(page) < familiesAtOnce {
			return p.print(tell.Families(all))
		}
	}
}
