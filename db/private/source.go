package private

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// source is where the programs come from.
type source struct {
	find  func(major int) (Binaries, bool)            // installed; major 0: the newest
	fetch func(ctx context.Context, dir string) error // into dir/bin, dir/lib …
}

// install says what helps where nothing is installed.
const install = "install PostgreSQL %d or newer (Debian, Ubuntu: apt-get install postgresql; Fedora: dnf install postgresql-server; macOS: brew install postgresql@17), or name a server with --database-url"

// choose returns programs of the version that the data is of, or, where there
// is no data yet, the newest, fetched where none is installed.
func (h home) choose(ctx context.Context, from source, log func(string, ...any)) (Binaries, error) {
	fetched := filepath.Join(h.dir, "postgresql")
	find := func(major int) (Binaries, bool) {
		if b, ok := from.find(major); ok {
			return b, true
		}
		return newest([]string{filepath.Join(fetched, "bin")}, major)
	}
	major, err := h.major()
	if err != nil {
		return Binaries{}, err
	}
	if b, ok := find(major); ok {
		return b, nil
	}
	if major != 0 {
		return Binaries{}, fmt.Errorf("the private database in %s was made by PostgreSQL %d, which is not installed%s; install PostgreSQL %d, or move that folder away to begin with an empty database", h.data(), major, others(find), major)
	}
	if os.Geteuid() == 0 {
		return Binaries{}, fmt.Errorf("no PostgreSQL is installed: "+install, OldestMajor)
	}
	log("No PostgreSQL is installed: fetching one into %s", fetched)
	if err := from.fetch(ctx, fetched); err != nil {
		said, _, _ := strings.Cut(err.Error(), "\n")
		return Binaries{}, fmt.Errorf("no PostgreSQL is installed and none can be fetched (%s): "+install, cause(err.Error(), said), OldestMajor)
	}
	if b, ok := find(0); ok {
		return b, nil
	}
	return Binaries{}, fmt.Errorf("the PostgreSQL fetched into %s does not run: "+install, fetched, OldestMajor)
}

func others(find func(major int) (Binaries, bool)) string {
	if b, ok := find(0); ok {
		return fmt.Sprintf(" (PostgreSQL %d is)", b.Major)
	}
	return ""
}

// major is the version of PostgreSQL that the data is of, 0 where there is none.
func (h home) major() (int, error) {
	text, err := os.ReadFile(filepath.Join(h.data(), "PG_VERSION"))
	if os.IsNotExist(err) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil {
		return 0, fmt.Errorf("%s is not a PostgreSQL database: its PG_VERSION says %q", h.data(), text)
	}
	return major, nil
}
