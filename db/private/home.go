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
	pg     string // the server's: data, log and, where the path is short enough, socket
	socket string // the folder of the socket
	owner  Owner
}

// openHome makes the folder where it is missing and checks that the server's
// account can live in it.
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
	if err := h.owner.folder(h.pg); err != nil {
		return home{}, fmt.Errorf("cannot keep the private database in %s: %w", h.dir, err)
	}
	if err := h.owner.Command(h.pg, "/bin/sh", "-c", "test -w .").Run(); err != nil {
		return home{}, fmt.Errorf("cannot keep the private database in %s: the user %s, which PostgreSQL runs as, must be able to enter every folder on the way", h.dir, h.owner)
	}
	return h, h.placeSocket()
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

// placeSocket chooses the folder of the socket: beside the data, or, where that
// makes the path too long, one in /tmp named after the home.
func (h *home) placeSocket() error {
	h.socket = h.pg
	if len(filepath.Join(h.pg, socketName)) <= longestSocket {
		return nil
	}
	h.socket = fmt.Sprintf("/tmp/standin-%x", sha256.Sum256([]byte(h.dir)))[:len("/tmp/standin-")+16]
	if err := h.owner.folder(h.socket); err != nil {
		return fmt.Errorf("the path of %s is too long for a socket, and another cannot be used: %w", h.dir, err)
	}
	return nil
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
