package importer

import (
	"context"
	"errors"
	"slices"

	"standin"
	"standin/importer/mapping"
	"standin/importer/table"
)

// ProposeLines is Propose for a person who chooses: the lines of the mapping, and the
// headers that its columns may come from. text is the mapping where there is one
// already; empty: one is proposed.
func ProposeLines(ctx context.Context, path, text string, o ProposeOptions) (standin.Proposal, error) {
	isNew := text == ""
	if isNew {
		var err error
		if text, err = Propose(ctx, path, o); err != nil {
			return standin.Proposal{}, err
		}
	}
	p := standin.Proposal{Mapping: text}
	var header int
	var err error
	if p.Lines, header, err = mapping.Lines(text); err != nil && !isNew {
		return p, nil // there is the text to be corrected
	} else if err != nil {
		return p, &standin.Error{Code: standin.CodeBadRequest, Field: "mapping", Cause: err,
			Message: "no column of the table could be told; write a mapping for it, as standin map shows"}
	}
	p.Headers, err = headers(ctx, path, header, o)
	return p, err
}

// RewriteMapping changes lines of a mapping, see mapping.Rewrite.
func RewriteMapping(text string, values map[int]string) (string, error) {
	changed, err := mapping.Rewrite(text, values)
	if err != nil {
		return "", &standin.Error{Code: standin.CodeBadRequest, Field: "mapping", Message: "the mapping is no YAML", Cause: err}
	}
	return changed, nil
}

// headers are the texts of the row of a table that has its headers, each once.
func headers(ctx context.Context, path string, line int, o ProposeOptions) (names []string, err error) {
	other, err := otherCharset(o.Encoding)
	if err != nil || line == 0 {
		return nil, err
	}
	b, err := openBundle([]string{path}, &table.Findings{})
	if err != nil {
		return nil, err
	}
	defer b.Close()
	for _, s := range b.sources(other) {
		if o.Sheet != "" && s.Name != o.Sheet {
			continue
		}
		in, err := s.Open(ctx, func(string) bool { return false }, 0)
		if err != nil {
			return nil, &standin.Error{Code: standin.CodeBadRequest, Field: path, Message: table.FaultOf(err).Message}
		}
		defer in.Close()
		for {
			row, err := in.Next()
			if f, ok := errors.AsType[*table.Fault](err); err != nil && (!ok || f.Ends) || row.Line > line {
				return names, nil // the lines themselves name columns
			}
			for i := 0; err == nil && row.Line == line && i < len(row.Cells); i++ {
				if name := row.Cell(i); name != "" && !slices.Contains(names, name) {
					names = append(names, name)
				}
			}
		}
	}
	return names, nil
}
