package importer

import (
	"archive/zip"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"

	"standin"
	"standin/importer/table"
)

// Writer writes a bundle: a folder of CSV files, or a zip of them. It has another
// name until Close, so that half a bundle is never taken for a whole one.
type Writer struct {
	path, partial string
	file          *os.File // of the zip
	zip           *zip.Writer
}

// Create begins a bundle at a path: a zip where the path ends in .zip, else a folder.
// Where something exists at the path, or nothing can be written there, it is an error
// (CodeBadRequest). The caller must call Close or Discard.
func Create(path string) (*Writer, error) {
	path = filepath.Clean(path)
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil, &standin.Error{Code: standin.CodeBadRequest, Field: path, Cause: err,
			Message: path + " is there already; name a folder or a .zip that is not"}
	}
	w := &Writer{path: path}
	if err := w.begin(); err != nil {
		return nil, &standin.Error{Code: standin.CodeBadRequest, Field: path, Cause: err,
			Message: "nothing can be written at " + path + "; name a folder or a .zip in a folder that is there and may be written to"}
	}
	return w, nil
}

func (w *Writer) begin() (err error) {
	folder, name := filepath.Split(w.path)
	if folder == "" {
		folder = "."
	}
	if !table.HasEnding(w.path, ".zip") {
		if w.partial, err = os.MkdirTemp(folder, "."+name+"-*"); err != nil {
			return err
		}
		return os.Chmod(w.partial, 0o755) // as a person's folder, not a secret one
	}
	if w.file, err = os.CreateTemp(folder, "."+name+"-*"); err != nil {
		return err
	}
	w.partial, w.zip = w.file.Name(), zip.NewWriter(w.file)
	return w.file.Chmod(0o644)
}

// Write writes one file of the bundle, with the cells of its rows in the order of the
// columns, and returns the number of rows. A file without rows is left out. The
// first error that rows yields ends it and is returned.
func (w *Writer) Write(file standin.File, rows iter.Seq2[[]string, error]) (int, error) {
	var out *csv.Writer
	var done func() error
	count := 0
	for cells, err := range rows {
		if err == nil && out == nil {
			out, done, err = w.open(file)
		}
		if err != nil {
			return count, errors.Join(err, closed(done))
		}
		for i, cell := range cells {
			cells[i] = Defuse(cell)
		}
		if err := out.Write(cells); err != nil {
			return count, errors.Join(err, done())
		}
		count++
	}
	if out == nil {
		return 0, nil
	}
	out.Flush()
	return count, errors.Join(out.Error(), done())
}

func closed(done func() error) error {
	if done == nil {
		return nil
	}
	return done()
}

// open begins a file with its header.
func (w *Writer) open(file standin.File) (*csv.Writer, func() error, error) {
	var to io.Writer
	done := func() error { return nil }
	if w.zip != nil {
		entry, err := w.zip.Create(file.Name + ".csv")
		if err != nil {
			return nil, nil, err
		}
		to = entry
	} else {
		f, err := os.Create(filepath.Join(w.partial, file.Name+".csv"))
		if err != nil {
			return nil, nil, err
		}
		to, done = f, f.Close
	}
	out := csv.NewWriter(to)
	return out, done, out.Write(table.ColumnNames(file))
}

// Close completes the bundle and gives it its name.
func (w *Writer) Close() error {
	var err error
	if w.zip != nil {
		err = errors.Join(w.zip.Close(), w.file.Close())
	}
	if err == nil {
		err = os.Rename(w.partial, w.path)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("the bundle cannot be written: %w", err), os.RemoveAll(w.partial))
	}
	w.partial = ""
	return nil
}

// Discard removes what was written. After Close it does nothing.
func (w *Writer) Discard() error {
	if w.partial == "" {
		return nil
	}
	var err error
	if w.file != nil {
		err = w.file.Close()
	}
	return errors.Join(err, os.RemoveAll(w.partial))
}
