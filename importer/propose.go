package importer

import (
	"context"

	"standin"
	"standin/importer/mapping"
	"standin/importer/table"
)

// ProposeOptions say what is known of a table before a mapping is proposed.
type ProposeOptions struct {
	Family   string // of its configurations; empty: to be filled in
	Sheet    string // of a workbook; empty: the first that is not hidden
	Encoding string // as for Run

	Vocabulary mapping.Vocabulary // of a catalogue, by which columns are known; nil: without one
}

// Propose is a mapping for the table at a path, as far as its header and its
// first rows tell: a YAML text for a person to correct, with how sure each of
// its columns is. The same table gives the same text. The error is an
// *standin.Error, CodeBadRequest where no table can be read there.
func Propose(ctx context.Context, path string, o ProposeOptions) (string, error) {
	other, err := otherCharset(o.Encoding)
	if err != nil {
		return "", err
	}
	out := &table.Findings{}
	b, err := openBundle([]string{path}, out)
	if err != nil {
		return "", err
	}
	defer b.Close()
	text, err := mapping.Propose(ctx, b.name, b.sources(other), mapping.Asked{Family: o.Family, Sheet: o.Sheet, Vocabulary: o.Vocabulary}, out)
	switch {
	case ctx.Err() != nil:
		return "", context.Cause(ctx)
	case err != nil:
		return "", &standin.Error{Code: standin.CodeBadRequest, Field: path,
			Message: "no mapping can be proposed for " + path + ": " + table.FaultOf(err).Message}
	}
	return text, nil
}

// Explain shows how the first rows of the table at a path, as many as that, go through
// the mapping at another. What is wrong with either is in the findings, and then there
// is nothing to show; the error is as that of Propose.
func Explain(ctx context.Context, path, mapPath, encoding string, rows int) (*mapping.Explained, []standin.Finding, error) {
	other, err := otherCharset(encoding)
	if err != nil {
		return nil, nil, err
	}
	out := &table.Findings{}
	b, err := openSupplied([]string{path}, mapPath, other, out)
	if err != nil {
		return nil, nil, err
	}
	defer b.Close()
	if out.Errors() > 0 || b.supplied == nil {
		return nil, out.First(), nil
	}
	explained, err := b.supplied.Explain(ctx, rows)
	return explained, out.First(), err
}
