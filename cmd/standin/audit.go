package main

import (
	"context"
	"encoding/csv"
	"strconv"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
	"standin/importer"
)

// mostAudited is how many findings an audit lists; the rest are counted.
const mostAudited = 10_000

func (p *program) auditCommand() *cli.Command {
	return &cli.Command{
		Name: "audit", Usage: "what is odd about the catalogue, or about one family",
		Description: "It finds what an import warns of, in all that is stored.",
		Flags: []cli.Flag{
			familyFlag("only this `FAMILY`"),
			&cli.BoolFlag{Name: "csv", Usage: "answer as CSV, for a spreadsheet"},
			jsonFlag(),
		},
		Action: p.audit,
	}
}

func (p *program) audit(ctx context.Context, c *cli.Command) error {
	if err := noArgument(c); err != nil {
		return err
	}
	if c.Bool("csv") && c.Bool(flagJSON) {
		return misused(c, "--csv and --json cannot both be had")
	}
	return p.with(ctx, c, func(s *session) error {
		found, total, err := s.Audit(ctx, c.String("family"), mostAudited)
		switch {
		case err != nil:
			return err
		case c.Bool(flagJSON):
			return p.printJSON(map[string]any{"warnings": total, "findings": each(found, encodeFinding)})
		case c.Bool("csv"):
			if total > len(found) {
				p.note("standin: there are %d more", total-len(found))
			}
			return p.printFindingsCSV(found)
		case total == 0:
			return p.print(tell.Sentence("nothing odd was found"))
		}
		return p.print(tell.Findings(found, 0, total))
	})
}

// printFindingsCSV writes findings as a table that is safe to open in a spreadsheet.
func (p *program) printFindingsCSV(found []standin.Finding) error {
	out := csv.NewWriter(p.stdout)
	rows := [][]string{{"severity", "file", "line", "column", "value", "code", "message", "correction"}}
	for _, f := range found {
		line := ""
		if f.Line > 0 {
			line = strconv.Itoa(f.Line)
		}
		rows = append(rows, []string{f.Severity.String(), f.File, line, f.Column, f.Value, f.Code, f.Message, f.Correction})
	}
	for _, row := range rows {
		for i := range row {
			row[i] = importer.Defuse(row[i])
		}
	}
	return out.WriteAll(rows)
}
