package private

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

const (
	// startPatience bounds a start; after a crash PostgreSQL reads its log first.
	startPatience = 2 * time.Minute
	// lingerPatience bounds the wait for the processes of a killed server to go.
	lingerPatience = 10 * time.Second
	// quitPatience bounds the wait for a server told to end at once, which ends
	// those of its processes that do not obey after 5 s.
	quitPatience = 10 * time.Second
)

// launch starts the server, on new data where there is none.
func (s *Server) launch(ctx context.Context) error {
	if major, err := s.home.major(); err != nil {
		return err
	} else if major == 0 {
		s.log("Making a private database in %s", s.home.dir)
		if err := s.initialise(); err != nil {
			return err
		}
	}
	// The log tells of this start alone, the one before is kept beside it.
	if err := os.Rename(s.home.log(), s.home.log()+".before"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, lingerPatience)
	defer cancel()
	for {
		s.home.removeStaleLocks()
		said, err := s.pgctl("start", "--log=server.log", seconds(startPatience), "-o", s.home.options())
		if err == nil {
			return nil
		}
		log, _ := os.ReadFile(s.home.log()) // none: pg_ctl itself says what is wrong
		if !lingers(log) || ctx.Err() != nil {
			why := cause(string(log), said)
			if bytes.Contains(log, noRoom) || isFull(s.home.pg) {
				first, _, _ := strings.Cut(why, "\n")
				why = "its disk is full (" + first + ")"
			}
			return fmt.Errorf("the private database in %s does not start: %s", s.home.dir, why)
		}
		os.Remove(s.home.log())
		time.Sleep(100 * time.Millisecond)
	}
}

// lingers tells from the log whether processes of a server that was killed are
// still about.
func lingers(log []byte) bool {
	return bytes.Contains(log, []byte("pre-existing shared memory block")) ||
		bytes.Contains(log, []byte(`lock file "postmaster.pid" already exists`))
}

// options are the server's settings. The socket's folder is told relative to
// the data where it can be: no path then needs quoting.
func (h home) options() string {
	socket := ".."
	if h.socket != h.pg {
		socket = h.socket
	}
	return "-c listen_addresses='' -c port=5432 -c unix_socket_permissions=0700 -c unix_socket_directories=" + socket
}

func (h home) log() string { return filepath.Join(h.pg, "server.log") }

// initialise makes the data folder. It is made under another name, so that one
// that was left half made does not count.
func (s *Server) initialise() error {
	h := s.home
	left, _ := filepath.Glob(filepath.Join(h.pg, "initdb-*")) // the pattern is well-formed
	for _, dir := range left {
		if err := os.RemoveAll(dir); err != nil {
			return err
		}
	}
	dir, err := os.MkdirTemp(h.pg, "initdb-")
	if err != nil {
		return err
	}
	if err := h.owner.Own(dir); err != nil {
		return err
	}
	out, err := h.owner.Command(h.pg, s.tools.Program("initdb"), "--pgdata="+filepath.Base(dir),
		"--username="+superuser, "--auth-local=trust", "--auth-host=reject",
		"--encoding=UTF8", "--locale=C", "--no-instructions").CombinedOutput()
	if err != nil {
		return fmt.Errorf("the private database cannot be made in %s: %s", h.pg, cause(string(out), err.Error()))
	}
	return os.Rename(dir, h.data())
}

// halt stops the server. Sessions that are left are ended.
func (s *Server) halt(ctx context.Context) error {
	patience := startPatience
	if deadline, ok := ctx.Deadline(); ok {
		patience = time.Until(deadline)
	}
	// One that comes back from a crash may lose the request to stop, and then
	// neither runs nor ends (seen of 15.18): it is let come back first.
	back, cancel := context.WithTimeout(ctx, patience/2)
	s.home.answers(back)
	cancel()
	said, err := s.pgctl("stop", "--mode=fast", seconds(max(patience/2, time.Second)))
	if err != nil && s.home.holds() {
		// As if the power failed: nothing is lost, the next start reads the log.
		said, err = s.pgctl("stop", "--mode=immediate", seconds(max(patience/2, quitPatience)))
	}
	if err != nil && s.home.holds() {
		return fmt.Errorf("the private database in %s does not stop: %s", s.home.dir, said)
	}
	if s.home.socket != s.home.pg {
		os.Remove(s.home.socket)
	}
	return nil
}

func seconds(d time.Duration) string { return fmt.Sprintf("--timeout=%d", int(d.Seconds())) }

// pgctl runs pg_ctl in the server's folder, where names need no quoting, and
// returns what it said.
func (s *Server) pgctl(command string, args ...string) (string, error) {
	cmd := s.home.owner.Command(s.home.pg, s.tools.Program("pg_ctl"),
		append([]string{command, "--silent", "--wait", "--pgdata=data"}, args...)...)
	// A file, not a pipe: the server would hold a pipe open for as long as it runs.
	out, err := os.CreateTemp("", "standin-pg_ctl-")
	if err != nil {
		return "", err
	}
	defer os.Remove(out.Name())
	defer out.Close()
	cmd.Stdout, cmd.Stderr = out, out
	err = cmd.Run()
	said, readErr := os.ReadFile(out.Name())
	return strings.TrimSpace(string(said)), errors.Join(err, readErr)
}

// cause is the line of a log that tells why, else what else was said.
func cause(log, said string) string {
	lines := strings.Split(strings.TrimSpace(log), "\n")
	for _, mark := range []string{"FATAL:", "PANIC:", "error:", "ERROR:"} {
		for _, line := range lines {
			if _, why, ok := strings.Cut(line, mark); ok {
				return strings.TrimSpace(why)
			}
		}
	}
	return said
}
