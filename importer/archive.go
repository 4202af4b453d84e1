package importer

import (
	"archive/zip"
	"errors"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"strings"
)

// Limits of a zip. Tables of a million rows stay far below them; a file made to
// fill a disk or a memory does not.
const (
	mostEntries  = 1000
	mostUnpacked = 4 << 30  // bytes of one file
	mostRatio    = 200      // of unpacked to packed bytes …
	freeUnpacked = 32 << 20 // … once a file has this many bytes
)

// addZip lists a zip. One folder around all files is fine; deeper ones are not read.
func (b *bundle) addZip(path, name string) {
	archive, err := zip.OpenReader(path)
	switch {
	case errors.Is(err, fs.ErrPermission):
		b.out.add(faultOf(err).in(name))
		return
	case err != nil:
		b.out.add(unreadable("the file is no zip or is damaged; pack it again").in(name))
		return
	}
	b.closers = append(b.closers, archive)
	if len(archive.File) > mostEntries {
		b.out.add(unreadable("the zip has %d files; a bundle has at most %d", len(archive.File), mostEntries).in(name))
		return
	}
	entries := useful(archive.File)
	top := topFolder(entries)
	for _, e := range entries {
		b.addEntry(e, name, top)
	}
}

func (b *bundle) addEntry(e *zip.File, archive, top string) {
	name := strings.TrimPrefix(slashed(e.Name), top)
	base := path.Base(name)
	switch {
	case strays(slashed(e.Name)):
		b.out.add(unreadable("its path %s leads out of the zip; pack the files without folders", quoted(e.Name)).in(base))
	case name == "" || strings.HasSuffix(name, "/"):
		if hasEnding(base, ".csv") {
			b.out.add(unreadable("it is a folder, not a file; give it a name without .csv").in(base))
		}
	case base != name:
		b.out.add(notRead("it lies in a folder within the bundle; put it beside the others").in(name))
	default:
		b.addFile(file{name: base, place: archive + ": " + e.Name, size: int64(e.UncompressedSize64), open: func() (io.ReadCloser, error) { return unpack(e) }})
	}
}

// useful leaves out what packing programs add of their own.
func useful(all []*zip.File) []*zip.File {
	var kept []*zip.File
next:
	for _, e := range all {
		for element := range strings.SplitSeq(slashed(e.Name), "/") {
			if hidden(element) && element != ".." && element != "." {
				continue next
			}
		}
		kept = append(kept, e)
	}
	return kept
}

// topFolder is the folder around all entries with its slash, empty without one.
func topFolder(entries []*zip.File) string {
	top := ""
	for i, e := range entries {
		first, _, inFolder := strings.Cut(slashed(e.Name), "/")
		if !inFolder || i > 0 && first+"/" != top {
			return ""
		}
		top = first + "/"
	}
	return top
}

// slashed is a name in a zip with the separator it ought to have.
func slashed(name string) string { return strings.ReplaceAll(name, `\`, "/") }

// strays tells whether a name would lead out of the folder it is unpacked in.
func strays(name string) bool {
	return !filepath.IsLocal(strings.TrimSuffix(name, "/")) || len(name) > 1 && name[1] == ':'
}

// unpack opens an entry within the limits.
func unpack(e *zip.File) (io.ReadCloser, error) {
	const encrypted = 1 // bit 0 of the general purpose flags (APPNOTE 4.4.4)
	switch {
	case e.Flags&encrypted != 0:
		return nil, unreadable("the file is locked with a password; pack it without one")
	case !e.Mode().IsRegular():
		return nil, unreadable("it is a link or a device, not a file; pack the file itself")
	case e.UncompressedSize64 > mostUnpacked:
		return nil, tooLarge()
	}
	in, err := e.Open()
	if errors.Is(err, zip.ErrAlgorithm) {
		return nil, unreadable("the file is packed in a way that is not known here; pack it as an ordinary zip")
	}
	if err != nil {
		return nil, err
	}
	return &unpacked{ReadCloser: in, packed: int64(e.CompressedSize64)}, nil
}

// unpacked counts what really comes out of an entry, whatever its header says.
type unpacked struct {
	io.ReadCloser
	packed, read int64
}

func (u *unpacked) Read(p []byte) (int, error) {
	n, err := u.ReadCloser.Read(p)
	u.read += int64(n)
	if u.read > mostUnpacked || u.read > freeUnpacked && u.read > mostRatio*u.packed {
		return 0, tooLarge()
	}
	return n, err
}

func tooLarge() *fault {
	return unreadable("the file grows too much when it is unpacked (at most %d GiB, and %d times its packed size)", mostUnpacked>>30, mostRatio)
}
