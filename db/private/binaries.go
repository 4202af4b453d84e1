package private

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
)

// OldestMajor is the oldest PostgreSQL that the schema works on.
const OldestMajor = 15

// Binaries are the programs of one installed PostgreSQL.
type Binaries struct {
	Dir   string // the folder with initdb, pg_ctl and postgres
	Major int
}

// usualPlaces are the folders that packages put the programs into, off the PATH.
var usualPlaces = []string{
	"/usr/lib/postgresql/*/bin",          // Debian, Ubuntu
	"/usr/pgsql-*/bin",                   // PostgreSQL's own RPMs
	"/opt/homebrew/opt/postgresql@*/bin", // Homebrew on Apple silicon
	"/usr/local/opt/postgresql@*/bin",    // Homebrew on Intel
	"/home/linuxbrew/.linuxbrew/opt/postgresql@*/bin",
	"/Applications/Postgres.app/Contents/Versions/*/bin",
	"/opt/local/lib/postgresql*/bin", // MacPorts
	"/usr/local/pgsql/bin",           // built from source
}

// Find returns the installed PostgreSQL of a major version, looking on the PATH
// and in the usual places; for major 0 the newest that is new enough. ok is
// false where there is none.
func Find(major int) (found Binaries, ok bool) {
	return newest(append(filepath.SplitList(os.Getenv("PATH")), usualPlaces...), major)
}

// newest looks in folders, which may be patterns, as Find does. Of equals the
// first wins.
func newest(folders []string, major int) (best Binaries, ok bool) {
	for _, candidate := range installed(folders) {
		wanted := major == 0 || candidate.Major == major
		if wanted && candidate.Major >= OldestMajor && candidate.Major > best.Major {
			best, ok = candidate, true
		}
	}
	return best, ok
}

// installed are all PostgreSQLs in the folders, of any major version.
func installed(folders []string) []Binaries {
	var all []Binaries
	for _, pattern := range folders {
		matches, _ := filepath.Glob(pattern) // a malformed pattern on the PATH is no place to look
		for _, dir := range matches {
			if major, err := majorOf(dir); err == nil {
				all = append(all, Binaries{Dir: dir, Major: major})
			}
		}
	}
	return all
}

var versionLine = regexp.MustCompile(`^postgres \(PostgreSQL\) (\d+)`)

func majorOf(dir string) (int, error) {
	for _, program := range []string{"initdb", "pg_ctl", "postgres"} {
		if _, err := exec.LookPath(filepath.Join(dir, program)); err != nil {
			return 0, err
		}
	}
	out, err := exec.Command(filepath.Join(dir, "postgres"), "--version").Output()
	if err != nil {
		return 0, err
	}
	m := versionLine.FindSubmatch(out)
	if m == nil {
		return 0, fmt.Errorf("%s/postgres does not tell its version: %q", dir, out)
	}
	return strconv.Atoi(string(m[1]))
}

// Program is the path of one of the programs.
func (b Binaries) Program(name string) string { return filepath.Join(b.Dir, name) }
