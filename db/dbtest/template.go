package dbtest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
)

// templateLock keeps test binaries that run at once from making the same
// template. Any number that nobody else uses for an advisory lock would do.
const templateLock = 0x7374616e64696e // "standin"

// template returns the name of the migrated template, which it makes where no
// test binary has before.
func (s *server) template(ctx context.Context) (string, error) {
	return s.templateName.get(func() (string, error) {
		hash, err := hashOf(schema)
		if err != nil {
			return "", err
		}
		name := "standin_template_" + hash
		return name, s.connected(ctx, func(conn *pgx.Conn) error {
			if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", templateLock); err != nil {
				return err
			}
			return s.makeTemplate(ctx, conn, name) // closing the connection gives the lock back
		})
	})
}

// makeTemplate makes the template unless it is there. One that is not marked as
// a template was left half made.
func (s *server) makeTemplate(ctx context.Context, conn *pgx.Conn, name string) error {
	var ready bool
	err := conn.QueryRow(ctx, "SELECT coalesce(bool_or(datistemplate), false) FROM pg_database WHERE datname = $1", name).Scan(&ready)
	if err != nil || ready {
		return err
	}
	if err := s.drop(ctx, name); err != nil {
		return err
	}
	if err := s.clone(ctx, name, "template0"); err != nil {
		return err
	}
	if err := migrate(ctx, s.urlOf(name)); err != nil {
		return fmt.Errorf("migrating %s: %w", name, err)
	}
	// Nobody may connect: a database in use cannot be cloned.
	_, err = conn.Exec(ctx, "ALTER DATABASE "+quote(name)+" IS_TEMPLATE true ALLOW_CONNECTIONS false")
	return err
}

// hashOf is a short hash over the names and contents of all files.
func hashOf(fsys fs.FS) (string, error) {
	h := sha256.New()
	err := fs.WalkDir(fsys, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := fs.ReadFile(fsys, path)
		fmt.Fprintf(h, "%s\n%d\n%s", path, len(text), text)
		return err
	})
	return hex.EncodeToString(h.Sum(nil)[:8]), err
}
