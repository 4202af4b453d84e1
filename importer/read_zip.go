package importer

import (
	"archive/zip"
	"errors"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"strings"

	"standin/importer/table"
)

// addZip adds the files of a zip. One folder around all of them is accepted; deeper
// ones are not read.
func (b *bundle) addZip(path, name string) {
	archive, err := zip.OpenReader(path)
	switch {
	case errors.Is(err, fs.ErrPermission):
		b.out.Add(table.FaultOf(err).In(name))
		return
	case err != nil:
		b.out.Add(table.Unreadable("the file is no zip or is damaged; pack it again").In(name))
		return
	}
	b.closers = append(b.closers, archive)
	if len(archive.File) > table.MostEntries {
		b.out.Add(table.Unreadable("the zip has %d files; a bundle has at most %d", len(archive.File), table.MostEntries).In(name))
		return
	}
	entries := useful(archive.File)
	top := topFolder(entries)
	for _, e := range entries {
		b.addEntry(e, name, top)
	}
}

func (b *bundle) addEntry(e *zip.File, archive, top string) {
	name := strings.TrimPrefix(table.Slashed(e.Name), top)
	base := path.Base(name)
	switch {
	case strays(table.Slashed(e.Name)):
		b.out.Add(table.Unreadable("its path %s leads out of the zip; pack the files without folders", table.Quoted(e.Name)).In(base))
	case name == "" || strings.HasSuffix(name, "/"):
		if table.HasEnding(base, ".csv") {
			b.out.Add(table.Unreadable("it is a folder, not a file; give it a name without .csv").In(base))
		}
	case base != name:
		b.out.Add(notRead("it lies in a folder within the bundle; put it beside the others").In(name))
	default:
		b.addFile(file{name: base, place: archive + ": " + e.Name, size: int64(e.UncompressedSize64), open: func() (io.ReadCloser, error) { return table.Unpack(e) }})
	}
}

// useful returns the entries without those that packing programs add.
func useful(all []*zip.File) []*zip.File {
	var kept []*zip.File
next:
	for _, e := range all {
		for element := range strings.SplitSeq(table.Slashed(e.Name), "/") {
			if hidden(element) && element != ".." && element != "." {
				continue next
			}
		}
		kept = append(kept, e)
	}
	return kept
}

// topFolder returns the folder around all entries with its slash, "" without one.
func topFolder(entries []*zip.File) string {
	top := ""
	for i, e := range entries {
		first, _, inFolder := strings.Cut(table.Slashed(e.Name), "/")
		if !inFolder || i > 0 && first+"/" != top {
			return ""
		}
		top = first + "/"
	}
	return top
}

// strays reports whether a name would lead out of the folder it is unpacked in.
func strays(name string) bool {
	return !filepath.IsLocal(strings.TrimSuffix(name, "/")) || len(name) > 1 && name[1] == ':'
}
