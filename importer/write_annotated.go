package importer

import (
	"cmp"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"standin"
	"standin/importer/sheet"
	"standin/importer/table"
)

// annotation is the header of the column of findings.
const annotation = "findings"

// CanAnnotate returns an error (CodeBadRequest) unless the paths are one table and out
// is another file of the same kind.
func CanAnnotate(paths []string, out string) error {
	bad := func(message string) error {
		return &standin.Error{Code: standin.CodeBadRequest, Field: "annotate", Message: message}
	}
	if len(paths) != 1 || table.HasEnding(paths[0], ".zip") {
		return bad("one table can be annotated; name one .xlsx or CSV file")
	}
	in, err := os.Stat(paths[0])
	if err != nil || in.IsDir() {
		return bad("one table can be annotated; name one .xlsx or CSV file")
	}
	if other, err := os.Stat(out); err == nil && os.SameFile(in, other) {
		return bad("the annotated table would replace the original; give it another name")
	}
	if isWorkbook(paths[0]) != isWorkbook(out) {
		return bad("the annotated table is a file of the same kind; give it the ending " + filepath.Ext(paths[0]))
	}
	return nil
}

// Annotate writes the one table of the paths unchanged but for one more column, which
// has the findings about each row, so that the table can go back to whoever made it.
// A CSV file is written as UTF-8, with an apostrophe before what a spreadsheet would run
// as a formula, which reading it again takes off. Findings about no row are in the header. They must
// be those of a Run with the same paths and options.
func Annotate(ctx context.Context, paths []string, o Options, found []standin.Finding, out string) error {
	if err := CanAnnotate(paths, out); err != nil {
		return err
	}
	other, err := otherCharset(o.Encoding)
	if err != nil {
		return err
	}
	scratch := &table.Findings{}
	b, err := openPaths(paths, o.Map, other, scratch)
	if err != nil {
		return err
	}
	defer b.Close()
	return writeError(out, ReplaceFile(out, func(w io.Writer) error {
		if isWorkbook(paths[0]) {
			columns, err := b.foundInSheets(ctx, found)
			if err != nil {
				return err
			}
			return sheet.AddColumns(paths[0], columns, w)
		}
		return annotateCSV(ctx, fileAt(paths[0]), b.headerLine(ctx), b.delimiter(), other, found, w)
	}))
}

// headerLine returns the line of the header of a supplier's table, 0 where it is the
// first row that is not empty, or was not found.
func (b *bundle) headerLine(ctx context.Context) int {
	if b.supplied == nil || !b.supplied.Chosen() {
		return 0
	}
	return b.supplied.HeaderLine(ctx)
}

func (b *bundle) delimiter() rune {
	if b.supplied == nil {
		return 0
	}
	return b.supplied.Delimiter()
}

// writeError returns the error of writing a file at a path for people, nil for nil.
func writeError(path string, err error) error {
	if err == nil {
		return nil
	}
	var known *standin.Error
	var f *table.Fault
	switch {
	case errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &f):
		return &standin.Error{Code: standin.CodeBadRequest, Message: path + " is not written: " + f.Message, Cause: err}
	}
	return &standin.Error{Code: standin.CodeBadRequest, Message: path + " cannot be written; check that the folder is there and may be written to", Cause: err}
}

// sentences returns the findings about each line of a file, in the order of its
// columns; those about no line are at that of the header.
func sentences(all []standin.Finding, file string, header int) map[int]string {
	lines := map[int][]string{}
	for _, x := range all {
		if x.File == file {
			line := cmp.Or(x.Line, header)
			lines[line] = append(lines[line], sentence(x))
		}
	}
	texts := map[int]string{}
	for line, found := range lines {
		texts[line] = strings.Join(slices.Compact(found), "\n")
	}
	return texts
}

// sentence returns one finding as it is written in a cell.
func sentence(x standin.Finding) string {
	said := x.Severity.String() + ": "
	if x.Column != "" {
		said = x.Severity.String() + " in " + x.Column + ": "
	}
	said += x.Message
	if x.Correction != "" {
		said += " (probably " + x.Correction + ")"
	}
	return said
}

// foundInSheets returns the columns of findings for the sheets that are read.
func (b *bundle) foundInSheets(ctx context.Context, found []standin.Finding) ([]sheet.Column, error) {
	var all []sheet.Column
	for _, f := range b.files {
		name := f.name
		if b.supplied != nil {
			if f.name != b.supplied.Source.Name {
				continue
			}
			name = b.supplied.Name
		}
		header, width, err := f.sheet.Measure(ctx)
		if err != nil {
			return nil, err
		}
		if h := b.headerLine(ctx); h > 0 {
			header = h
		}
		cells := sentences(found, name, header)
		cells[header] = strings.TrimSuffix(annotation+"\n"+cells[header], "\n")
		all = append(all, sheet.Column{Sheet: f.name, At: width, Cells: cells})
	}
	return all, nil
}
