package intake

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"unicode"
	"unicode/utf8"

	"standin"
)

const (
	mostFiles     = 100
	mostName      = 200 // bytes
	mostInMapping = 1 << 20
)

// files are those of one bundle that was received.
type files struct {
	dir     string
	paths   []string
	mapping string // empty: none
}

// remove removes the files. What cannot be removed goes with the folder.
func (f *files) remove() { _ = os.RemoveAll(f.dir) }

// mapBy has the files be read by a mapping; by that which was sent where it is empty.
func (f *files) mapBy(text string) error {
	if text == "" {
		return nil
	}
	f.mapping = filepath.Join(f.dir, "mapping.yaml")
	return writeError(os.WriteFile(f.mapping, []byte(text), 0o600))
}

// incoming is a bundle that is being received.
type incoming struct {
	of    *Service
	job   *job // nil: it was given up or submitted
	sum   hash.Hash
	left  int64
	names []string
}

// Receive makes room for the files of one bundle.
func (s *Service) Receive(context.Context) (standin.Incoming, error) {
	if err := s.enter(); err != nil {
		return nil, err
	}
	j := &job{room: s.places}
	dir, err := os.MkdirTemp(s.folder.dir, "upload-")
	if err == nil {
		err = os.Mkdir(filepath.Join(dir, "files"), 0o700)
	}
	if err != nil {
		j.end()
		return nil, writeError(err)
	}
	j.files = &files{dir: dir}
	return &incoming{of: s, job: j, sum: sha256.New(), left: s.config.MostBytes}, nil
}

// Add receives a file.
func (in *incoming) Add(name string, from io.Reader) error {
	name, err := fileName(name)
	if err != nil {
		return err
	}
	switch {
	case slices.ContainsFunc(in.names, func(other string) bool { return strings.EqualFold(name, other) }):
		return badName("two files are named %s; give each a name of its own", name)
	case len(in.names) == mostFiles:
		return badName("there are more than %d files; pack them into a zip", mostFiles)
	}
	at := filepath.Join(in.job.files.dir, "files", name)
	if err := in.receive(name, at, from); err != nil {
		return err
	}
	in.names = append(in.names, name)
	in.job.files.paths = append(in.job.files.paths, at)
	return nil
}

// AddMapping receives a mapping.
func (in *incoming) AddMapping(from io.Reader) error {
	if in.job.files.mapping != "" {
		return badName("there are two mappings; send one")
	}
	at := filepath.Join(in.job.files.dir, "mapping.yaml")
	left := int64(mostInMapping)
	if err := in.receive("", at, &bounded{from, &left, mostInMapping}); err != nil {
		return err
	}
	in.job.files.mapping = at
	return nil
}

// receive writes what comes to a file, and into the sum: its name, how long it is and
// what it says, so that no two uploads have the same sum by where a file ends.
func (in *incoming) receive(name, at string, from io.Reader) error {
	out, err := os.OpenFile(at, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return writeError(err)
	}
	one := sha256.New()
	n, err := io.Copy(&written{out, one}, &bounded{from, &in.left, in.of.config.MostBytes})
	if err := cmp.Or(err, writeError(out.Close())); err != nil {
		return err
	}
	fmt.Fprintf(in.sum, "%q %d %x\n", name, n, one.Sum(nil))
	return nil
}

// written writes to a file and its hash. Its errors are for people.
type written struct {
	file *os.File
	sum  hash.Hash
}

func (w *written) Write(p []byte) (int, error) {
	w.sum.Write(p)
	n, err := w.file.Write(p)
	return n, writeError(err)
}

// bounded lets through as many bytes as are left.
type bounded struct {
	from io.Reader
	left *int64
	most int64
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.from.Read(p)
	if *b.left -= int64(n); *b.left < 0 {
		return 0, &standin.Error{Code: standin.CodeTooLarge, Message: fmt.Sprintf(
			"more than %s were sent; send a bundle as a zip, or the files of each family by themselves", size(b.most))}
	}
	return n, err
}

// size is a number of bytes for people.
func size(bytes int64) string {
	if bytes >= 1<<20 {
		return fmt.Sprintf("%d MiB", bytes>>20)
	}
	return fmt.Sprintf("%d bytes", bytes)
}

// Sum is a hash of everything that was received.
func (in *incoming) Sum() [32]byte { return [32]byte(in.sum.Sum(nil)) }

// Submit has what was received be checked or imported.
func (in *incoming) Submit(ctx context.Context, u standin.NewUpload, once standin.Once) (standin.Upload, error) {
	switch {
	case len(in.names) == 0:
		return standin.Upload{}, badName("there is no file; send a zip, a workbook or CSV files")
	case in.job.files.mapping != "" && len(in.names) > 1:
		return standin.Upload{}, badName("a mapping is for one table, and these are %d files; send each with its own", len(in.names))
	}
	j := in.job
	in.job = nil
	return in.of.submit(ctx, j, standin.Upload{By: u.By, Bundle: bundleName(in.names), Options: u.Options}, once)
}

// bundleName is what the record calls a bundle.
func bundleName(names []string) string {
	const most = 200 // characters
	name := []rune(strings.Join(names, " "))
	if len(name) > most {
		return string(name[:most-1]) + "…"
	}
	return string(name)
}

// Discard gives the files and their room up.
func (in *incoming) Discard() {
	if in.job != nil {
		in.job.end()
		in.job = nil
	}
}

// fileName is the name of a file without the folders before it.
func fileName(name string) (string, error) {
	base := path.Base(strings.ReplaceAll(name, `\`, "/"))
	switch {
	case name == "" || base == "." || base == "/":
		return "", badName("a file has no name; name it as in the bundle, models.csv")
	case len(base) > mostName || !utf8.ValidString(base) || strings.ContainsFunc(base, unicode.IsControl):
		return "", badName("a file has a name that will not do; name it as in the bundle, models.csv")
	case strings.HasPrefix(base, "."):
		return "", badName("the name %s begins with a dot; name the file as in the bundle, models.csv", base)
	}
	return base, nil
}

func badName(format string, args ...any) error {
	return &standin.Error{Code: standin.CodeBadRequest, Field: "name", Message: fmt.Sprintf(format, args...)}
}

// writeError is an error of the disk for people.
func writeError(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return &standin.Error{Code: standin.CodeNoSpace, Message: "the disk of the service is full; nothing was imported", Cause: err}
	}
	return &standin.Error{Code: standin.CodeUnavailable, Message: "the service cannot keep the files; nothing was imported", Cause: err}
}
