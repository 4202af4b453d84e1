package main

import (
	"context"

	"github.com/urfave/cli/v3"

	"standin/importer"
)

// The flags that send what an import finds somewhere else too.
const (
	flagMap      = "map"
	flagFindings = "findings"
	flagAnnotate = "annotate"
)

// review is where the findings of an import are written; empty: nowhere.
type review struct{ findings, annotated string }

// reviewOf reads the flags, and refuses before the import what could not be
// written after it.
func reviewOf(c *cli.Command, paths []string) (review, error) {
	r := review{c.String(flagFindings), c.String(flagAnnotate)}
	if r.annotated == "" {
		return r, nil
	}
	return r, importer.CanAnnotate(paths, r.annotated)
}

// writeReview writes the findings.
func (p *program) writeReview(ctx context.Context, to review, paths []string, o importer.Options, r *importer.Report) error {
	if to.findings != "" {
		if err := importer.WriteFindings(to.findings, r.Findings); err != nil {
			return err
		}
		p.note("standin: the findings are in %s", to.findings)
	}
	if to.annotated != "" {
		if err := importer.Annotate(ctx, paths, o, r.Findings, to.annotated); err != nil {
			return err
		}
		p.note("standin: the table with its findings is %s", to.annotated)
	}
	if all := r.Errors + r.Warnings; to != (review{}) && all > len(r.Findings) {
		p.note("standin: they are the first %d of %d; correct them and look again", len(r.Findings), all)
	}
	return nil
}
