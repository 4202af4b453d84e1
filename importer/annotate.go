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
)

// annotation is the header of the column of findings.
const annotation = "findings"

// CanAnnotate tells whether Annotate has something to write for the paths and
// somewhere to write it: one table, and a file of its kind beside it. The error
// is a CodeBadRequest.
func CanAnnotate(paths []string, out string) error {
	bad := func(message string) error {
		return &standin.Error{Code: standin.CodeBadRequest, Field: "annotate", Message: message}
	}
	if len(paths) != 1 || hasEnding(paths[0], ".zip") {
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

// Annotate writes the one table of the paths as it is, with a column more that
// has what was found in each row, so that it can go back to whoever made it. A
// CSV file is written as UTF-8. What is about no row stands in the header. The
// findings are those of a Run with the same paths and options.
func Annotate(ctx context.Context, paths []string, o Options, found []standin.Finding, out string) error {
	if err := CanAnnotate(paths, out); err != nil {
		return err
	}
	other, err := otherCharset(o.Encoding)
	if err != nil {
		return err
	}
	scratch := &findings{}
	b, err := openPaths(paths, o.Map, scratch)
	if err != nil {
		return err
	}
	defer b.Close()
	return written(out, ReplaceFile(out, func(w io.Writer) error {
		if isWorkbook(paths[0]) {
			return b.annotateSheets(ctx, paths[0], found, w)
		}
		return annotateCSV(ctx, fileAt(paths[0]), b.headerLine(ctx, other), b.delimiter(), other, found, w)
	}))
}

// headerLine is where the header of a supplier's table stands, 0 where it is
// the first row that has anything in it, or was not found.
func (b *bundle) headerLine(ctx context.Context, other charset) int {
	if b.supplied == nil || b.supplied.mapping == nil || b.supplied.file.name == "" {
		return 0
	}
	b.supplied.other = other
	in, h, err := b.supplied.open(ctx)
	if err != nil {
		return 0
	}
	in.Close()
	return h.line
}

func (b *bundle) delimiter() rune {
	if b.supplied == nil || b.supplied.mapping == nil {
		return 0
	}
	return b.supplied.mapping.delimiter
}

// written tells of a file that was to be written.
func written(path string, err error) error {
	if err == nil {
		return nil
	}
	var known *standin.Error
	var f *fault
	switch {
	case errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &f):
		return &standin.Error{Code: standin.CodeBadRequest, Message: path + " is not written: " + f.message, Cause: err}
	}
	return &standin.Error{Code: standin.CodeBadRequest, Message: path + " cannot be written; check that the folder is there and may be written to", Cause: err}
}

// sentences are what was found in each line of a file, in the order of its
// columns; those about no line are in that of the header.
func sentences(all []standin.Finding, file string, header int) map[int]string {
	lines := map[int][]string{}
	for _, x := range all {
		if x.File == file {
			line := cmp.Or(x.Line, header)
			lines[line] = append(lines[line], sentence(x))
		}
	}
	texts := map[int]string{}
	for line, said := range lines {
		texts[line] = strings.Join(slices.Compact(said), "\n")
	}
	return texts
}

// sentence is one finding as it stands in a cell.
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
