package private

import (
	"bytes"
	"errors"
	"io"
	"os"
	"syscall"
)

// noRoom is what a server writes to its log, in English, where its disk is full.
var noRoom = []byte("No space left on device")

// DiskFull reports whether the server has lacked room on its disk since s was
// started. Where it crashes of that, whoever was connected is not told why.
func (s *Server) DiskFull() bool {
	log, err := os.Open(s.home.log())
	if err != nil {
		return isFull(s.home.pg)
	}
	defer log.Close()
	if size, err := log.Seek(0, io.SeekEnd); err != nil || size < s.logged {
		s.logged = 0 // it is the log of a later start
	}
	if _, err := log.Seek(s.logged, io.SeekStart); err != nil {
		return false
	}
	said, _ := io.ReadAll(log) // as much as can be read
	return bytes.Contains(said, noRoom) || isFull(s.home.pg)
}

// mark has DiskFull look only at what is logged from now on.
func (s *Server) mark() {
	if info, err := os.Stat(s.home.log()); err == nil {
		s.logged = info.Size()
	}
}

// isFull reports whether nothing more can be written to a folder: a log may be cut
// short by the very fault that it should tell.
func isFull(dir string) bool {
	f, err := os.CreateTemp(dir, "room-")
	if err != nil {
		return isNoRoom(err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(make([]byte, 64<<10))
	return isNoRoom(errors.Join(err, f.Close()))
}

func isNoRoom(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}
