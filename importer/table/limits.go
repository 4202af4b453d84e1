package table

import (
	"archive/zip"
	"context"
	"errors"
	"io"
	"strings"
)

// Limits of a zip. Tables of a million rows stay far below them; a file made to
// fill a disk or a memory does not.
const (
	MostEntries  = 1000
	mostUnpacked = 4 << 30  // bytes of one file
	mostRatio    = 200      // of unpacked to packed bytes …
	freeUnpacked = 32 << 20 // … once a file has this many bytes
)

// Slashed returns a name in a zip with slashes for the backslashes that some programs
// write.
func Slashed(name string) string { return strings.ReplaceAll(name, `\`, "/") }

// Unpack opens an entry of a zip. Reading it ends with a *Fault at the limits.
func Unpack(e *zip.File) (io.ReadCloser, error) {
	const encrypted = 1 // bit 0 of the general purpose flags (APPNOTE 4.4.4)
	switch {
	case e.Flags&encrypted != 0:
		return nil, Unreadable("the file is locked with a password; pack it without one")
	case !e.Mode().IsRegular():
		return nil, Unreadable("it is a link or a device, not a file; pack the file itself")
	case e.UncompressedSize64 > mostUnpacked:
		return nil, tooLarge()
	}
	in, err := e.Open()
	if errors.Is(err, zip.ErrAlgorithm) {
		return nil, Unreadable("the file is packed in a way that is not known here; pack it as an ordinary zip")
	}
	if err != nil {
		return nil, err
	}
	return &unpacked{ReadCloser: in, packed: int64(e.CompressedSize64)}, nil
}

// unpacked counts the bytes that an entry really unpacks to, whatever its header says.
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

func tooLarge() *Fault {
	return Unreadable("the file grows too much when it is unpacked (at most %d GiB, and %d times its packed size)", mostUnpacked>>30, mostRatio)
}

// Allowance is a reader that lets a limited number of bytes through between one
// renewal and the next, not counting what a buffer reads ahead. Once it has
// returned an error it returns no other.
type Allowance struct {
	from    io.Reader
	most    int
	message string // where there is more
	left    int
	err     error
}

// NewAllowance returns a reader that lets through most bytes of in at a time; message
// is that of the error where there are more.
func NewAllowance(in io.Reader, most int, message string) *Allowance {
	return &Allowance{from: in, most: most, message: message, left: most}
}

// Renew lets another limit of bytes through.
func (a *Allowance) Renew() { a.left = a.most }

func (a *Allowance) Read(p []byte) (int, error) {
	if a.err != nil {
		return 0, a.err
	}
	if a.left <= 0 {
		a.err = Unreadable("%s", a.message)
		return 0, a.err
	}
	n, err := a.from.Read(p)
	a.left -= n
	a.err = err
	return n, err
}

// UntilDone returns a reader that fails with the cause of a context once that is done.
func UntilDone(ctx context.Context, in io.Reader) io.Reader { return contextReader{ctx, in} }

type contextReader struct {
	ctx context.Context
	io.Reader
}

func (u contextReader) Read(p []byte) (int, error) {
	if u.ctx.Err() != nil {
		return 0, context.Cause(u.ctx)
	}
	return u.Reader.Read(p)
}
