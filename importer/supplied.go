package importer

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"standin"
)

// openSupplied opens the one path as a supplier's table, and the mapping. What
// is wrong with either is a finding; one that is not there, or a path too many,
// is a CodeBadRequest.
func openSupplied(paths []string, mapping string, out *findings) (*bundle, error) {
	if len(paths) != 1 {
		return nil, &standin.Error{Code: standin.CodeBadRequest, Field: "map",
			Message: "a mapping is for one table; name one .xlsx or CSV file"}
	}
	for _, path := range []string{paths[0], mapping} {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			return nil, nothingAt(path, "name a table (.xlsx or CSV) and with --map its mapping", err)
		}
	}
	b := &bundle{name: filepath.Base(paths[0]), out: out, lost: map[string]bool{}}
	text, err := readAtMost(mapping, mostOfMapping+1)
	if err != nil {
		out.add(faultOf(err).in(filepath.Base(mapping)))
	}
	s := &supplied{name: b.name, out: out, said: map[standin.Finding]bool{}}
	b.supplied = s
	if err == nil {
		s.mapping = readMapping(filepath.Base(mapping), text, out)
	}
	b.files = []file{fileAt(paths[0])}
	if isWorkbook(b.name) {
		b.files = nil
		b.addFile(fileAt(paths[0]))
	}
	if s.mapping != nil && out.errors() == 0 {
		s.choose(b.files)
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

// choose takes the sheet that the mapping names, else the first. The others are
// said not to be read.
func (s *supplied) choose(files []file) {
	var names []string
	chosen := -1
	for i, f := range files {
		names = append(names, f.name)
		if chosen < 0 && (f.sheet == nil || s.mapping.sheet == "" || headed(f.name) == headed(s.mapping.sheet)) {
			chosen = i
		}
	}
	if chosen < 0 {
		f := unreadable("the workbook has no sheet %s that is shown; it has %s", quoted(s.mapping.sheet), listed(names))
		s.out.add(f.correct(nearest(s.mapping.sheet, names)).in(s.name))
		return
	}
	s.file = files[chosen]
	for i, f := range files {
		if i != chosen {
			s.out.add((&fault{code: standin.UnknownFile, message: "the sheet is not read: the mapping takes " + quoted(s.file.name)}).in(f.name))
		}
	}
}

// rows are the rows of the supplier's table.
func (s *supplied) rows(ctx context.Context) (rows, error) {
	if s.file.sheet != nil {
		return s.file.sheet.open(ctx)
	}
	return openCSV(ctx, s.file, s.uses, s.mapping.delimiter, s.other)
}

// uses tells whether the mapping reads a column of that header.
func (s *supplied) uses(header string) bool {
	for _, e := range s.mapping.entries {
		for _, r := range e.refs() {
			if r.letter < 0 && headed(r.header) == headed(header) {
				return true
			}
		}
	}
	return false
}
