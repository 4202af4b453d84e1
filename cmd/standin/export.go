package main

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
	"standin/importer"
)

func (p *program) exportCommand() *cli.Command {
	return &cli.Command{
		Name: "export", Usage: "write the catalogue, or one family of it, as a bundle", ArgsUsage: "OUT",
		Description: "OUT is a folder or a .zip that is not there yet. Cells that a spreadsheet would run as a formula have " +
			"an apostrophe before them; importing takes it off again. Importing an export changes nothing.",
		Flags:  []cli.Flag{familyFlag("only this `FAMILY`, with all that its rows refer to")},
		Action: p.export,
	}
}

func familyFlag(usage string) cli.Flag { return &cli.StringFlag{Name: "family", Usage: usage} }

func (p *program) export(ctx context.Context, c *cli.Command) error {
	path, err := oneArgument(c, "the folder or the .zip to write")
	if err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		counts, err := exportTo(ctx, s, c.String("family"), path)
		if err != nil {
			return err
		}
		if len(counts) == 0 {
			return p.print(tell.Sentence(path + " has no file: the catalogue is empty"))
		}
		return p.print(tell.Sentence(fmt.Sprintf("%s has %s", path, strings.Join(counts, ", "))))
	})
}

// exportTo writes a bundle and returns what is in it, one text per file.
func exportTo(ctx context.Context, s *session, family, path string) (counts []string, err error) {
	w, err := importer.Create(path)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, w.Discard()) }() // after Close it does nothing
	err = s.Export(ctx, family, func(f standin.File, rows iter.Seq2[[]string, error]) error {
		n, err := w.Write(f, rows)
		if n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, strings.ReplaceAll(f.Name, "_", " ")))
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return counts, w.Close()
}
