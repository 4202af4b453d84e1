package importer

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"standin"
	"standin/importer/mapping"
	"standin/importer/table"
)

// openSupplied opens the one path as a supplier's table, and the mapping. What is
// wrong with either is a finding; one that does not exist, or more than one path, is
// an error (CodeBadRequest).
func openSupplied(paths []string, mapPath string, other charset, out *table.Findings) (*bundle, error) {
	if len(paths) != 1 {
		return nil, &standin.Error{Code: standin.CodeBadRequest, Field: "map",
			Message: "a mapping is for one table; name one .xlsx or CSV file"}
	}
	for _, path := range []string{paths[0], mapPath} {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			return nil, nothingAt(path, "name a table (.xlsx or CSV) and with --map its mapping", err)
		}
	}
	b := &bundle{name: filepath.Base(paths[0]), out: out, lost: map[string]bool{}, mapped: true}
	text, err := readAtMost(mapPath, mapping.MostBytes+1)
	if err != nil {
		out.Add(table.FaultOf(err).In(filepath.Base(mapPath)))
	}
	if err == nil {
		b.supplied = mapping.New(b.name, mapping.Read(filepath.Base(mapPath), text, out), out)
	}
	b.files = []file{fileAt(paths[0])}
	if isWorkbook(b.name) {
		b.files = nil
		b.addFile(fileAt(paths[0]))
	}
	if b.supplied != nil && out.Errors() == 0 {
		b.supplied.Choose(b.sources(other))
	}
	return b, nil
}

func readAtMost(path string, most int64) ([]byte, error) {
	in, err := fileAt(path).open()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return io.ReadAll(io.LimitReader(in, most))
}

// sources returns the files and sheets that may hold the supplier's table.
func (b *bundle) sources(other charset) []mapping.Source {
	var all []mapping.Source
	for _, f := range b.files {
		s := mapping.Source{Name: f.name, Sheet: f.sheet != nil}
		s.Open = func(ctx context.Context, known func(string) bool, delimiter rune) (table.Rows, error) {
			if f.sheet != nil {
				return f.sheet.Open(ctx)
			}
			return openCSV(ctx, f, known, delimiter, other)
		}
		all = append(all, s)
	}
	return all
}
