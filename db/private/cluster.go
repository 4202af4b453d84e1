package private

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"standin/db/internal/pg"
)

// superuser is the role that owns the server. The program's own role, standin,
// owns its database and nothing else.
const superuser = "postgres"

// answers reports whether the server runs and takes connections. One that is
// starting, recovering or shutting down is given time.
func (h home) answers(ctx context.Context) bool {
	ctx, cancel := context.WithTimeout(ctx, startPatience)
	defer cancel()
	for {
		conn, err := pgx.Connect(ctx, h.url(superuser, "postgres"))
		if err == nil {
			return conn.Close(ctx) == nil
		}
		if !pg.IsStarting(err) || ctx.Err() != nil {
			return false
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// holds reports whether a server has the data, be it one that takes no connections.
func (h home) holds() bool {
	pid, ok := pidIn(filepath.Join(h.data(), "postmaster.pid"))
	return ok && !isNot(pid, h.data()) && syscall.Kill(pid, 0) != syscall.ESRCH
}

// ensureDatabase makes the role and the database standin where they are missing.
func (h home) ensureDatabase(ctx context.Context) error {
	conn, err := pgx.Connect(ctx, h.url(superuser, "postgres"))
	if err != nil {
		return fmt.Errorf("the private database in %s does not answer: %w", h.dir, err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	for _, step := range []struct{ missing, make string }{
		{"SELECT NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'standin')", "CREATE ROLE standin LOGIN"},
		{"SELECT NOT EXISTS (SELECT FROM pg_database WHERE datname = 'standin')", "CREATE DATABASE standin OWNER standin TEMPLATE template0"},
	} {
		var missing bool
		if err := conn.QueryRow(ctx, step.missing).Scan(&missing); err != nil {
			return err
		}
		if !missing {
			continue
		}
		if _, err := conn.Exec(ctx, step.make); err != nil {
			return err
		}
	}
	return nil
}

// removeStaleLocks removes the lock files of a server that is no more. The
// server does that itself, but not where another process of the account has the
// number now, as may be after a reboot, or where the dead one is a zombie.
func (h home) removeStaleLocks() {
	for _, path := range []string{
		filepath.Join(h.data(), "postmaster.pid"),
		filepath.Join(h.socket, socketName+".lock"),
	} {
		// Where one cannot be removed the server says why it does not start.
		if pid, ok := pidIn(path); ok && isNot(pid, h.data()) {
			os.Remove(path)
		}
	}
}

// pidIn is the process number in the first line of a lock file.
func pidIn(path string) (int, bool) {
	text, err := os.ReadFile(path)
	if err != nil {
		return 0, false
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(first))
	return pid, err == nil && pid > 0
}

// isNot reports whether the process of that number, if any, is known not to be a
// server of the data: one works in its data folder. Without /proc nothing is
// known.
func isNot(pid int, data string) bool {
	if isZombie(pid) {
		return true
	}
	cwd, err := os.Readlink(fmt.Sprintf("/proc/%d/cwd", pid))
	return err == nil && cwd != data
}

// isZombie reports whether a process has ended but keeps its number, as it does
// for good in a container where nobody collects the dead.
func isZombie(pid int) bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err == nil && strings.Contains(string(stat), ") Z ")
}
