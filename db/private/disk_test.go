package private

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"standin"
	"standin/db/internal/pg"
)

// smallDisk is a folder on a disk of its own of so many MiB.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	dir := newDir(t)
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "mode=755,size="+size); err != nil {
		t.Skipf("no disk can be mounted that is easily full (it takes root): %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// fill takes all the room of a disk.
func fill(t *testing.T, dir string) {
	t.Helper()
	f, err := os.Create(filepath.Join(dir, "filler"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	if !isNoRoom(err) {
		t.Fatal(err)
	}
}

// A server without room for its write-ahead log crashes. Whoever asked it is told of
// the disk or that the connection was lost, never that it cannot be reached, and the
// server's log tells the rest.
func TestCrashOnAFullDisk(t *testing.T) {
	t.Parallel()
	dir := smallDisk(t, "160m")
	s := startIn(t, filepath.Join(dir, "home"))
	asks, idle := connect(t, s.home.url(superuser, "postgres")), connect(t, s.home.url(superuser, "postgres"))
	if s.DiskFull() {
		t.Fatal("the disk is full from the beginning")
	}
	fill(t, dir)
	var err error
	for i := 0; err == nil && i < 100; i++ { // until a segment of the log is needed that there is no room for
		_, err = asks.Exec(t.Context(), "SELECT pg_logical_emit_message(true, '', repeat('x', 2000000))")
	}
	var another error
	for end := time.Now().Add(10 * time.Second); another == nil && time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		another = idle.Ping(t.Context())
	}
	for who, err := range map[string]error{"who asked": err, "another": another} {
		if err == nil {
			t.Errorf("%s is answered on a full disk", who)
			continue
		}
		said := pg.Translate(err).Error()
		if code := standin.CodeOf(pg.Translate(err)); code != standin.CodeNoSpace && code != standin.CodeUnavailable || strings.Contains(said, "cannot be reached") {
			t.Errorf("%s is told %q (%v)", who, said, err)
		}
	}
	if !s.DiskFull() {
		t.Error("the disk is not found to be full")
	}
}

// What is logged before a program joins the server is no reason for what it meets.
func TestDiskFullIsOfThisTime(t *testing.T) {
	t.Parallel()
	s := startIn(t, newDir(t))
	say := func(text string) {
		f, err := os.OpenFile(s.home.log(), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if _, err := f.WriteString(text); err != nil {
			t.Fatal(err)
		}
	}
	say("PANIC:  could not write to file: No space left on device\n")
	if !s.DiskFull() {
		t.Error("the log is not read")
	}
	s.mark()
	if s.DiskFull() {
		t.Error("what was logged before counts")
	}
}

func TestNoStartOnAFullDisk(t *testing.T) {
	t.Parallel()
	dir := smallDisk(t, "160m")
	s := startIn(t, filepath.Join(dir, "home"))
	stop(t, s)
	fill(t, dir)
	_, err := Start(t.Context(), Config{Dir: filepath.Join(dir, "home")})
	wantError(t, err, "does not start: its disk is full")
}
