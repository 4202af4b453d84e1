package main

import (
	"context"

	"github.com/urfave/cli/v3"

	"standin/importer"
	"standin/importer/mapping"
)

func (p *program) mapCommand() *cli.Command {
	return &cli.Command{
		Name: "map", Usage: "propose a mapping for a supplier's table, for import --map",
		ArgsUsage: "TABLE",
		Description: "TABLE is a CSV file or an .xlsx. The mapping is printed: YAML, with how sure each column is, " +
			"to be read and corrected by a person. standin map --schema prints the JSON schema of mappings.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "family", Usage: "the `FAMILY` that the table's configurations are of"},
			&cli.StringFlag{Name: "sheet", Usage: "of a workbook (default the first that is not hidden)"},
			&cli.StringFlag{Name: "encoding", Usage: "of a CSV file that does not tell it (default Windows-1252)"},
			&cli.BoolFlag{Name: "schema", Usage: "print the JSON schema of mapping files"},
		},
		Action: p.proposeMapping,
	}
}

func (p *program) proposeMapping(ctx context.Context, c *cli.Command) error {
	if c.Bool("schema") {
		if err := noArgument(c); err != nil {
			return err
		}
		return p.print(string(mapping.Schema))
	}
	path, err := oneArgument(c, "one table, a CSV file or an .xlsx")
	if err != nil {
		return err
	}
	proposal, err := importer.Propose(ctx, path, importer.ProposeOptions{
		Family: c.String("family"), Sheet: c.String("sheet"), Encoding: c.String("encoding"),
	})
	if err != nil {
		return err
	}
	return p.print(proposal)
}
