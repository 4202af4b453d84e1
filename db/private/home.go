package private

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// longestSocket is the longest path of a Unix socket in bytes, the closing zero
// left out: sun_path has 108 on Linux and 104 on macOS and the BSDs.
const longestSocket = 103

// socketName is what PostgreSQL calls its socket at the default port.
const socketName = ".s.PGSQL.5432"

// home is the folder of a private server.
type home struct {
	dir    string // ours
	pg     string // the server's: data, log, socket
	socket string // the folder of the socket: pg, or, where its path is too long, one in /tmp
	owner  Owner
}

// openHome makes the folder where it is missing.
func openHome(dir string) (h home, err error) {
	if dir == "" {
		if dir, err = DefaultDir(); err != nil {
			return home{}, err
		}
	}
	if h.owner, err = FindOwner(); err != nil {
		return home{}, err
	}
	if h.dir, err = makeFolder(dir); err != nil {
		return home{}, fmt.Errorf("cannot keep the private database in %s: %w", dir, reason(err))
	}
	h.pg = filepath.Join(h.dir, "pg")
	h.socket = h.pg
	if len(filepath.Join(h.pg, socketName)) > longestSocket {
		h.socket = fmt.Sprintf("/tmp/standin-%.8x", sha256.Sum256([]byte(h.dir)))
	}
	return h, nil
}

// settle makes the server's folders where they are missing, under the lock, and
// checks that its account can live in them.
func (h home) settle() error {
	if err := h.owner.folder(h.pg); err != nil {
		return fmt.Errorf("cannot keep the private database in %s: %w", h.dir, err)
	}
	if err := h.owner.Command(h.pg, "/bin/sh", "-c", "test -w .").Run(); err != nil {
		return fmt.Errorf("cannot keep the private database in %s: the user %s, which PostgreSQL runs as, must be able to enter every folder on the way", h.dir, h.owner)
	}
	if h.socket == h.pg {
		return nil
	}
	if err := h.owner.folder(h.socket); err != nil {
		return fmt.Errorf("the path of %s is too long for a socket, and another folder cannot be used: %w", h.dir, err)
	}
	return nil
}

// makeFolder makes a folder and returns its one name, whatever links lead there.
func makeFolder(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(dir)
}

func (h home) data() string { return filepath.Join(h.pg, "data") }

// folder makes a folder that only the account may enter. One that is there must
// be just that: in /tmp anybody may have made it.
func (o Owner) folder(path string) error {
	err := os.Mkdir(path, 0o700)
	if err == nil {
		return o.Own(path)
	}
	if !errors.Is(err, fs.ErrExist) {
		return reason(err)
	}
	info, err := os.Lstat(path)
	if err != nil {
		return reason(err)
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !info.IsDir() || !ok || stat.Uid != o.uid() || info.Mode().Perm() != 0o700 {
		return fmt.Errorf("%s must be a folder of the user %s that nobody else may enter (mode 0700)", path, o)
	}
	return nil
}

// reason is why a call failed, without the call and the path.
func reason(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}
