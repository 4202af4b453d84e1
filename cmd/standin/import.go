package main

import (
	"context"
	"fmt"
	"os/user"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
	"standin/importer"
)

func (p *program) importCommand() *cli.Command {
	return &cli.Command{
		Name: "import", Usage: "take a bundle into the catalogue: all of it or nothing",
		ArgsUsage: "PATH…",
		Description: "PATH is a folder, a .zip, an .xlsx or a CSV file of a bundle; several are taken together. " +
			"With --map it is a supplier's own table, which a mapping turns into rows of a bundle; " +
			"standin map proposes one.\n\n" +
			"Rows are added or changed by their key; nothing is removed unless --replace, " +
			"once or several times, asks for it. A column that is absent, or not mapped, leaves " +
			"what is recorded as it is; an empty cell takes it back. A supply stop is taken back " +
			"only with --lift-stops.",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "check", Usage: "all but the import itself; shows what it would change"},
			&cli.StringFlag{Name: flagMap, Usage: "mapping `FILE` for PATH, a supplier's table"},
			&cli.StringFlag{Name: flagFindings, Usage: "write what is found to `OUT` as CSV"},
			&cli.StringFlag{Name: flagAnnotate, Usage: "write the table to `OUT` with its findings"},
			&cli.StringSliceFlag{Name: "replace", Usage: "remove what the bundle no longer has of a `FAMILY`"},
			&cli.BoolFlag{Name: "shrink", Usage: "let --replace remove more than half of a file"},
			&cli.StringSliceFlag{Name: "replace-stock", Usage: "the bundle has all the stock of a `LOCATION`: other lines become 0"},
			&cli.BoolFlag{Name: "skip-unknown-stock", Usage: "leave out stock of what is not in the catalogue"},
			liftStopsFlag(),
			&cli.StringFlag{Name: "encoding", Usage: "of CSV files that do not tell it (default Windows-1252)"},
			&cli.StringFlag{Name: "by", Usage: "who imports it, for the record", Value: userName(), HideDefault: true},
			jsonFlag(),
		},
		Action: p.importBundle,
	}
}

const flagLiftStops = "lift-stops"

// liftStopsFlag is the consent without which a board that must not be supplied stays
// so.
func liftStopsFlag() cli.Flag {
	return &cli.BoolFlag{Name: flagLiftStops, Usage: "consent to lift the supply stops that it takes back"}
}

// userName is the account's, as far as it is known.
func userName() string {
	u, err := user.Current()
	if err != nil {
		return ""
	}
	return u.Username
}

func (p *program) importBundle(ctx context.Context, c *cli.Command) error {
	paths := c.Args().Slice()
	if len(paths) == 0 {
		return misused(c, "name a folder, a .zip, an .xlsx or CSV files")
	}
	options := importer.Options{
		By: c.String("by"), Encoding: c.String("encoding"), Check: c.Bool("check"), Replace: c.StringSlice("replace"),
		Shrink: c.Bool("shrink"), Map: c.String(flagMap), ReplaceStock: c.StringSlice("replace-stock"), SkipUnknownStock: c.Bool("skip-unknown-stock"),
		LiftStops: c.Bool(flagLiftStops),
	}
	review, err := reviewOf(c, paths)
	if err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		m := newMeter(p.stderr)
		options.Progress = m.hear()
		report, err := importer.Run(ctx, s, paths, options)
		m.end()
		if err != nil {
			return err
		}
		if err := p.writeReview(ctx, review, paths, options, report); err != nil {
			return err
		}
		if c.Bool(flagJSON) {
			if err := p.printJSON(encodeReport(report)); err != nil {
				return err
			}
			return rejected(report)
		}
		return p.tellReport(report, options.Check)
	})
}

// tellReport prints how the files were read, what was found and what changes;
// errors go to stderr.
func (p *program) tellReport(r *importer.Report, check bool) error {
	found := tell.Findings(r.Findings, r.Errors, r.Warnings)
	if r.Errors > 0 {
		fmt.Fprint(p.stderr, found)
		return rejected(r)
	}
	var read strings.Builder
	if check {
		for _, f := range r.Read {
			read.WriteString(f.String() + "\n")
		}
	}
	return p.print(read.String() + found + tell.Diff(r.Files, check) + outcome(r))
}

// outcome says what became of a bundle without errors.
func outcome(r *importer.Report) string {
	said := tell.Sentence(r.Summary())
	if r.Import.ID != 0 {
		said += tell.Sentence(fmt.Sprintf("To take it back: standin undo %d", r.Import.ID))
	}
	return said
}

// rejected is the error of a bundle with errors.
func rejected(r *importer.Report) error {
	if r.Errors == 0 {
		return nil
	}
	return &standin.Error{Code: standin.CodeRejected, Message: r.Summary()}
}
