package bundle

import (
	"context"
	"fmt"
	"iter"
	"strconv"
	"strings"

	"standin"
	"standin/db/internal/pg"
)

// Export calls write for every file of what is stored, or of one family and what it
// refers to, one after the other, with its rows as a bundle has them, in the order
// of their keys. All files are of one state of the catalogue. The first error of
// write ends the export and is returned; a row that cannot be read is an error among
// the rows. A family that does not exist is an error (CodeNotFound).
func (s *Store) Export(ctx context.Context, family string, write func(standin.File, iter.Seq2[[]string, error]) error) error {
	snap, err := s.openSnapshot(ctx, family)
	if err != nil {
		return err
	}
	defer snap.close(ctx)
	if family != "" {
		snap.define(chosen)
	}
	for _, f := range standin.Files {
		which := ""
		if family != "" {
			which = " WHERE " + ofExported[f.Name]
		}
		if err := write(f, snap.exported(ctx, f, which)); err != nil {
			return err
		}
	}
	return nil
}

// exported returns the rows of a file.
func (s *snapshot) exported(ctx context.Context, f standin.File, which string) iter.Seq2[[]string, error] {
	return func(yield func([]string, error) bool) {
		rows, err := s.query(ctx, exportOf(f, which))
		if err != nil {
			yield(nil, pg.Translate(err))
			return
		}
		defer rows.Close()
		for rows.Next() {
			var cells []string
			if err := rows.Scan(&cells); err != nil {
				yield(nil, pg.Translate(err))
				return
			}
			withoutExponents(f, cells)
			if !yield(cells, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(nil, pg.Translate(err))
		}
	}
}

// exportOf selects the rows of a file in the order of their keys, numbers by size
// and names by their bytes, whatever the database's locale.
func exportOf(f standin.File, which string) string {
	var order []string
	for _, c := range keyColumns(f) {
		if c.Kind == standin.Integer {
			order = append(order, qualified("b", c.Name)+" NULLS FIRST")
		} else {
			order = append(order, qualified("b", c.Name)+` COLLATE "C"`)
		}
	}
	return fmt.Sprintf("SELECT %s FROM bundle.%s b%s ORDER BY %s", cellTexts(f.Columns, "b"), f.Name, which, strings.Join(order, ", "))
}

// withoutExponents rewrites very small and very large numbers, which the database
// writes with an exponent, in digits alone.
func withoutExponents(f standin.File, cells []string) {
	for i, c := range f.Columns {
		if c.Kind != standin.Number && c.Kind != standin.Numbers || !strings.Contains(cells[i], "e") {
			continue
		}
		between := " "
		if c.Slashes {
			between = "/"
		}
		words := strings.Split(cells[i], between)
		for w, word := range words {
			if x, err := strconv.ParseFloat(word, 64); err == nil && strings.Contains(word, "e") {
				words[w] = strconv.FormatFloat(x, 'f', -1, 64)
			}
		}
		cells[i] = strings.Join(words, between)
	}
}
