package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/api"
	"standin/api/page"
	"standin/api/sheet"
	"standin/importer"
)

const flagPublicURL = "public-url"

func (p *program) sheetCommand() *cli.Command {
	return &cli.Command{
		Name:      "sheet",
		Usage:     "the job sheet for one board in one machine, to print",
		ArgsUsage: `["BRAND MODEL"]`,
		Description: "Writes a PDF to print. There is none for a board that does not fit, or whose build is not " +
			"settled: the exit status is then 3, and the sentence says what would settle it.",
		Flags: append(machineFlags(),
			&cli.StringFlag{Name: "part", Usage: "part number of the board"},
			&cli.StringFlag{Name: "revision", Usage: "its revision; may be left out where there is only one"},
			&cli.StringFlag{Name: "out", Usage: "file to write; - for standard output"},
			&cli.BoolFlag{Name: "label", Usage: "the shelf label in place of the job sheet"},
			publicURLFlag("http://127.0.0.1:8470"),
		),
		Action: p.sheet,
	}
}

// publicURLFlag is where phones reach the service: what is printed leads there.
func publicURLFlag(value string) cli.Flag {
	return &cli.StringFlag{
		Name: flagPublicURL, Usage: "where phones reach the service, for the code on a job sheet", Value: value,
		Sources: cli.EnvVars("STANDIN_PUBLIC_URL"), Validator: api.CheckPublicURL,
	}
}

func (p *program) sheet(ctx context.Context, c *cli.Command) error {
	m, err := machineOf(c)
	if err != nil {
		return err
	}
	words := strings.Join(c.Args().Slice(), " ")
	part, out := typed(c, "part"), c.String("out")
	switch named := m.Brand != "" || m.Model != "" || m.Variant != ""; {
	case words != "" && named:
		return misused(c, "name the model either with flags or in words, not both (%q is left over)", words)
	case words == "" && (m.Brand == "" || m.Model == ""):
		return misused(c, "name the model with --brand and --model")
	case part == "":
		return misused(c, "name the board with --part")
	case out == "":
		return misused(c, "name the file to write with --out, as --out job.pdf")
	}
	return p.with(ctx, c, func(s *session) error {
		if words != "" {
			if m.ModelKey, err = meant(ctx, s, words); err != nil {
				return err
			}
		}
		j, err := standin.AskJob(ctx, s, m, part, typed(c, "revision"))
		if err != nil {
			return err
		}
		pdf, err := paperOf(ctx, s, c, j)
		if err != nil {
			return err
		}
		return p.write(out, pdf)
	})
}

// paperOf is what is printed for a job.
func paperOf(ctx context.Context, s *session, c *cli.Command, j *standin.Job) ([]byte, error) {
	if c.Bool("label") {
		family, err := j.Prepared(ctx, s)
		if err != nil {
			return nil, err
		}
		label := sheet.Label{Job: j, Family: family}
		return label.PDF()
	}
	paper := sheet.Sheet{Job: j, Bench: strings.TrimRight(c.String(flagPublicURL), "/") + page.BenchLink(j)}
	return paper.PDF()
}

// write puts a document into a file, whole or not at all.
func (p *program) write(name string, document []byte) error {
	if name == "-" {
		return p.print(string(document))
	}
	err := importer.ReplaceFile(name, func(w io.Writer) error {
		_, err := w.Write(document)
		return err
	})
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", name, cause(err))
	}
	p.note("written: %s", name)
	return nil
}

// cause is what the system said, without the name of a file that nobody typed.
func cause(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
