package dbtest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"syscall"

	"standin/db/private"
)

// keeper runs the server, waits until this test binary ends, see whenWeEnd, then
// stops the server and removes its folder.
const keeper = `
dir=$PWD
"$@" >server.log 2>&1 &
read -r nothing
kill -QUIT $! 2>/dev/null
wait $!
cd / && rm -rf -- "$dir"
`

// installed starts a throw-away server from installed binaries.
func installed(ctx context.Context, _ func(string) string) (*server, error) {
	binaries, ok := private.Find(0)
	if !ok {
		return nil, fmt.Errorf("no PostgreSQL %d or newer is installed", private.OldestMajor)
	}
	owner, err := private.FindOwner()
	if err != nil {
		return nil, err
	}
	dir, err := tempDir(owner)
	if err != nil {
		return nil, err
	}
	if err := initialise(binaries, owner, dir); err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	if err := keep(binaries, owner, dir); err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	u := url.URL{Scheme: "postgres", User: url.User("standin"), Path: "/postgres",
		RawQuery: url.Values{"host": {dir}, "port": {"5432"}}.Encode()}
	s, err := newServer(u.String())
	if err != nil {
		return nil, err
	}
	if err := s.awaitAnswer(ctx); err != nil {
		log, _ := os.ReadFile(filepath.Join(dir, "server.log"))
		return nil, fmt.Errorf("%w\n%s", err, log)
	}
	return s, nil
}

// tempDir makes the folder of the server, data and socket. It is not in TMPDIR,
// because the path of a socket may have 107 bytes at most and because the
// account that owns the folder must be able to enter it.
func tempDir(owner private.Owner) (string, error) {
	base := "/tmp"
	if roomy("/dev/shm") {
		base = "/dev/shm"
	}
	dir, err := os.MkdirTemp(base, "standin-dbtest-")
	if err != nil {
		return "", err
	}
	return dir, owner.Own(dir)
}

// roomy reports whether a folder in memory has room for the databases of a few
// test binaries. There a clone takes 15 ms, on a disk 80 or more: hundreds of
// small files are made and removed.
func roomy(dir string) bool {
	const enough = 4 << 30
	var stat syscall.Statfs_t
	err := syscall.Statfs(dir, &stat)
	return err == nil && uint64(stat.Bavail)*uint64(stat.Bsize) >= enough
}

func initialise(binaries private.Binaries, owner private.Owner, dir string) error {
	cmd := owner.Command(dir, binaries.Program("initdb"),
		"--pgdata=data", "--username=standin", "--auth=trust", // the socket's folder is ours alone
		"--encoding=UTF8", "--locale=C", "--no-sync", "--no-instructions")
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("initdb: %w\n%s", err, out)
	}
	return nil
}

func keep(binaries private.Binaries, owner private.Owner, dir string) error {
	cmd := owner.Command(dir, "/bin/sh", "-c", keeper, "sh",
		binaries.Program("postgres"), "-D", "data",
		"-c", "listen_addresses=", "-c", "port=5432", "-c", "unix_socket_directories="+dir,
		"-c", "fsync=off", "-c", "full_page_writes=off", "-c", "synchronous_commit=off",
		"-c", "max_connections=200")
	return whenWeEnd(cmd)
}
