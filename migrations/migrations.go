// Package migrations holds the schema of the database, as steps up and down,
// and takes a database along them. Each file is one transaction.
package migrations

import (
	"embed"
	"fmt"
	"io/fs"
	"regexp"
	"strconv"
)

// FS holds the steps, named NNNNNN_what.up.sql and NNNNNN_what.down.sql.
//
//go:embed *.sql
var FS embed.FS

// Status is where a database stands.
type Status struct {
	Version uint // of the database; 0: no schema
	Latest  uint // that this program knows
	Dirty   bool // a step was broken off in the middle, and nobody knows how far it got
}

// refusal is why a database in this state must not be migrated, nil where it may.
func (s Status) refusal() error {
	switch {
	case s.Dirty:
		return fmt.Errorf("the step of the database's schema to version %d was broken off half-way; restore the database from a backup, then migrate it", s.Version)
	case s.Version > s.Latest:
		return fmt.Errorf("the database's schema is version %d, newer than the %d that this program knows; use a newer standin", s.Version, s.Latest)
	}
	return nil
}

var fileName = regexp.MustCompile(`^(\d{6})_[a-z0-9_]+\.(up|down)\.sql$`)

// latest is the version of the last step. It refuses a folder with a file that
// is not named as a step, because such a file would be passed over in silence,
// and one in which a step lacks its way up or down.
func latest(folder fs.FS) (uint, error) {
	entries, err := fs.ReadDir(folder, ".")
	if err != nil {
		return 0, err
	}
	ways := map[int][]string{}
	for _, entry := range entries {
		name := fileName.FindStringSubmatch(entry.Name())
		if name == nil {
			return 0, fmt.Errorf("%s is not named like a step, 000001_what.up.sql or 000001_what.down.sql", entry.Name())
		}
		version, err := strconv.Atoi(name[1])
		if err != nil {
			return 0, err
		}
		ways[version] = append(ways[version], name[2])
	}
	for version := 1; version <= len(ways); version++ {
		// ReadDir sorts by name: down stands before up.
		if got := ways[version]; len(got) != 2 || got[0] != "down" || got[1] != "up" {
			return 0, fmt.Errorf("step %06d has %v; it needs one way up and one down", version, got)
		}
	}
	return uint(len(ways)), nil
}
