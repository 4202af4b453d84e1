package main

import (
	"context"
	"fmt"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
	"standin/importer"
	"standin/importer/mapping"
)

const (
	flagExplain = "explain"
	flagRows    = "rows"
)

func (p *program) mapCommand() *cli.Command {
	return &cli.Command{
		Name: "map", Usage: "propose or explain a mapping for a supplier's table",
		ArgsUsage: "TABLE",
		Description: "TABLE is a CSV file or an .xlsx. The mapping is printed: YAML, with how sure each column is and why, " +
			"to be read and corrected by a person. Where --database-url names a catalogue, columns are known by its brands, models, " +
			"parts and codes too. standin map --explain MAPPING TABLE shows the first rows through a mapping, cell by cell; " +
			"standin map --schema prints the JSON schema of mappings.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "family", Usage: "the `FAMILY` that the table's configurations are of"},
			&cli.StringFlag{Name: "sheet", Usage: "of a workbook (default the first that is not hidden)"},
			&cli.StringFlag{Name: "encoding", Usage: "of a CSV file that does not tell it (default Windows-1252)"},
			&cli.StringFlag{Name: flagExplain, Usage: "show the first rows through this `MAPPING`"},
			&cli.IntFlag{Name: flagRows, Value: 5, Usage: "how many rows are explained"},
			&cli.BoolFlag{Name: "schema", Usage: "print the JSON schema of mapping files"},
		},
		Action: p.mapTable,
	}
}

func (p *program) mapTable(ctx context.Context, c *cli.Command) error {
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
	if c.String(flagExplain) != "" {
		return p.explainMapping(ctx, c, path)
	}
	o := importer.ProposeOptions{Family: c.String("family"), Sheet: c.String("sheet"), Encoding: c.String("encoding")}
	if c.String(flagDatabase) == "" {
		return p.propose(ctx, path, o)
	}
	return p.with(ctx, c, func(s *session) error {
		o.Vocabulary = s.DB
		return p.propose(ctx, path, o)
	})
}

func (p *program) propose(ctx context.Context, path string, o importer.ProposeOptions) error {
	proposal, err := importer.Propose(ctx, path, o)
	if err != nil {
		return err
	}
	return p.print(proposal)
}

// explainMapping shows how rows go through a mapping. What is wrong with it or with the
// table as a whole is printed like the findings of an import.
func (p *program) explainMapping(ctx context.Context, c *cli.Command, path string) error {
	explained, found, err := importer.Explain(ctx, path, c.String(flagExplain), c.String("encoding"), max(1, c.Int(flagRows)))
	if err != nil {
		return err
	}
	if explained == nil {
		errors := 0
		for _, f := range found {
			if f.Severity == standin.SeverityError {
				errors++
			}
		}
		fmt.Fprint(p.stderr, tell.Findings(found, errors, len(found)-errors))
		return &standin.Error{Code: standin.CodeRejected, Message: "nothing can be shown before that is corrected"}
	}
	return p.print(explained.String())
}
