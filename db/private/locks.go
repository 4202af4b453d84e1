package private

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// lock is held while someone starts or stops the server. Closing gives it back.
func (h home) lock(ctx context.Context) (*os.File, error) {
	f, err := h.open("lock")
	if err != nil {
		return nil, err
	}
	for {
		if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err == nil {
			return f, nil
		}
		select {
		case <-ctx.Done():
			f.Close()
			return nil, fmt.Errorf("another program is starting or stopping the private database in %s and does not come to an end", h.dir)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// use counts the caller among the users until the file is closed.
func (h home) use() (*os.File, error) {
	f, err := h.open("users")
	if err != nil {
		return nil, err
	}
	// Does not wait: the one who holds it alone, in onlyUser, has h.lock too.
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_SH|syscall.LOCK_NB); err != nil {
		f.Close()
		return nil, fmt.Errorf("locking %s: %w", f.Name(), err)
	}
	return f, nil
}

// onlyUser reports whether nobody but the holder uses the server. The caller
// holds home.lock, so that nobody comes meanwhile.
func onlyUser(users *os.File) bool {
	return syscall.Flock(int(users.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
}

func (h home) open(name string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(h.dir, name), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("cannot keep the private database in %s: %w", h.dir, reason(err))
	}
	return f, nil
}
