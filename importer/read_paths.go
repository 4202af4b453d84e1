package importer

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"standin"
	"standin/importer/mapping"
	"standin/importer/sheet"
	"standin/importer/table"
)

// file is one file of a bundle. It can be opened any number of times.
type file struct {
	name  string // as findings call it
	place string // where it was found, to distinguish two of one name
	open  func() (io.ReadCloser, error)
	size  int64        // in bytes; 0 where it is not known beforehand
	sheet *sheet.Sheet // of a workbook, else nil; it is opened by itself
}

// bundle is what the paths hold.
type bundle struct {
	name    string
	files   []file
	out     *table.Findings
	lost    map[string]bool // files, by their name in standin.Files, of which rows could not be read
	closers []io.Closer

	progress *progress

	mapped   bool              // it is one supplier's table, not a bundle's files
	supplied *mapping.Supplied // that table; nil where there is none, or no mapping for it
}

// openPaths opens what the paths make together: a bundle, or with a mapping one
// supplier's table.
func openPaths(paths []string, mapPath string, other charset, out *table.Findings) (*bundle, error) {
	if mapPath != "" {
		return openSupplied(paths, mapPath, other, out)
	}
	return openBundle(paths, out)
}

// openBundle lists the files in folders and zips. What cannot be used is a finding; a
// path that does not exist is an error (CodeBadRequest).
func openBundle(paths []string, out *table.Findings) (*bundle, error) {
	b := &bundle{out: out, lost: map[string]bool{}}
	var names []string
	for _, path := range paths {
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) {
			b.Close()
			return nil, nothingAt(path, "name a folder, a .zip, an .xlsx or CSV files", err)
		}
		name := filepath.Base(path)
		names = append(names, name)
		switch {
		case err != nil:
			out.Add(table.FaultOf(err).In(name))
		case info.IsDir():
			b.addFolder(path, name)
		case table.HasEnding(name, ".zip"):
			b.addZip(path, name)
		default:
			b.addFile(fileAt(path))
		}
	}
	b.name = table.Cut(strings.Join(names, " "), table.ShownAsValue)
	return b, nil
}

func nothingAt(path, instead string, cause error) error {
	return &standin.Error{Code: standin.CodeBadRequest, Field: path, Cause: cause,
		Message: "there is nothing at " + path + "; " + instead}
}

// Close closes the folders and zips.
func (b *bundle) Close() error {
	var all []error
	for _, c := range b.closers {
		all = append(all, c.Close())
	}
	return errors.Join(all...)
}

// fileAt returns the file at a path.
func fileAt(path string) file {
	return file{name: filepath.Base(path), place: path, size: sizeOf(os.Stat(path)), open: func() (io.ReadCloser, error) {
		return openRegular(func() (fs.FileInfo, error) { return os.Stat(path) }, func() (*os.File, error) { return os.Open(path) })
	}}
}

// sizeOf returns the size of a file in bytes, 0 where it is not known.
func sizeOf(info fs.FileInfo, err error) int64 {
	if err != nil {
		return 0
	}
	return info.Size()
}

// addFile adds a file, or the sheets of a workbook.
func (b *bundle) addFile(f file) {
	if !isWorkbook(f.name) {
		b.files = append(b.files, f)
		return
	}
	book, closer, err := sheet.Open(f.open)
	if err != nil {
		b.out.Add(table.FaultOf(err).In(f.name))
		return
	}
	b.closers = append(b.closers, closer)
	for _, s := range book.Sheets {
		if s.Hidden {
			b.out.Add((&table.Fault{Code: table.HiddenSheet, Message: "the sheet is hidden and not read; show it in the spreadsheet to have it read"}).In(s.Name))
			continue
		}
		b.files = append(b.files, file{name: s.Name, place: f.place + ": " + s.Name, sheet: &s})
	}
}

// addFolder lists a folder. It is opened as a root, so that no link in it leads
// out of it.
func (b *bundle) addFolder(path, name string) {
	root, err := os.OpenRoot(path)
	if err != nil {
		b.out.Add(table.FaultOf(err).In(name))
		return
	}
	b.closers = append(b.closers, root)
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		b.out.Add(table.FaultOf(err).In(name))
		return
	}
	for _, e := range entries {
		switch {
		case hidden(e.Name()):
		case e.IsDir() && !table.HasEnding(e.Name(), ".csv"):
			b.out.Add(notRead("it is a folder within the bundle; put its files beside the others").In(e.Name()))
		default:
			b.addFile(file{name: e.Name(), place: filepath.Join(name, e.Name()), size: sizeOf(e.Info()), open: func() (io.ReadCloser, error) {
				return openRegular(func() (fs.FileInfo, error) { return root.Stat(e.Name()) }, func() (*os.File, error) { return root.Open(e.Name()) })
			}})
		}
	}
}

// openRegular opens a regular file. A folder, a device, or a link that leads nowhere
// is a *table.Fault.
func openRegular(stat func() (fs.FileInfo, error), open func() (*os.File, error)) (io.ReadCloser, error) {
	info, err := stat()
	switch {
	case errors.Is(err, fs.ErrPermission):
		return nil, err
	case err != nil:
		return nil, table.Unreadable("it is a link that leads nowhere or out of the folder; put the file itself there")
	case info.IsDir():
		return nil, table.Unreadable("it is a folder, not a file; give it a name without .csv")
	case !info.Mode().IsRegular():
		return nil, table.Unreadable("it is a device or a pipe, not a file; put a file there")
	}
	return open()
}

func hidden(name string) bool { return strings.HasPrefix(name, ".") || name == "__MACOSX" }

// notRead returns the warning about something in a bundle that is none of its files.
func notRead(message string) *table.Fault {
	return &table.Fault{Code: standin.UnknownFile, Message: "the file is not read: " + message}
}
