package intake

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// folder is where one run of a service has its files. Its lock is held as long as the
// service runs, however that ends, so that the next one can tell what was left.
type folder struct {
	dir  string
	lock *os.File
}

const (
	runs     = "run-"
	lockName = "lock"
)

// openFolder makes the folder of this run within a folder, and removes those of
// services that ended.
func openFolder(within string) (*folder, error) {
	if err := os.MkdirAll(within, 0o700); err != nil {
		return nil, fmt.Errorf("uploads cannot be kept in %s: %w", within, err)
	}
	if at, err := os.Lstat(within); err != nil || !ownedByUs(at) {
		return nil, fmt.Errorf("uploads are not kept in %s, which is another user's; name a folder of your own", within)
	}
	// One at a time, so that none finds the folder of another before that is locked.
	turn, err := locked(within, syscall.LOCK_EX)
	if err != nil {
		return nil, fmt.Errorf("uploads cannot be kept in %s: %w", within, err)
	}
	defer turn.Close()
	if err := clean(within); err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp(within, runs)
	if err != nil {
		return nil, fmt.Errorf("uploads cannot be kept in %s: %w", within, err)
	}
	lock, err := locked(dir, syscall.LOCK_EX|syscall.LOCK_NB)
	return &folder{dir, lock}, err
}

// ownedByUs reports whether it is a folder, no link, of the user who runs the program.
func ownedByUs(at os.FileInfo) bool {
	stat, ok := at.Sys().(*syscall.Stat_t)
	return at.IsDir() && (!ok || int(stat.Uid) == os.Geteuid())
}

// clean removes what services that ended have left.
func clean(within string) error {
	left, err := filepath.Glob(filepath.Join(within, runs+"*"))
	if err != nil {
		return err
	}
	for _, dir := range left {
		lock, err := locked(dir, syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			continue // it runs, or is somebody else's
		}
		if err := errors.Join(os.RemoveAll(dir), lock.Close()); err != nil {
			return fmt.Errorf("what an ended service left in %s cannot be removed: %w", dir, err)
		}
	}
	return nil
}

// locked locks a folder, as flock says.
func locked(dir string, how int) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(dir, lockName), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), how); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// close removes the folder.
func (f *folder) close() error { return errors.Join(os.RemoveAll(f.dir), f.lock.Close()) }
