package bundle

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/internal/pg"
)

// History is one row of a file, named by its key as a bundle writes it, as it is and
// as every import left it. CodeNotFound where there never was such a row;
// CodeBadRequest where the key is none of the file.
func (s *Store) History(ctx context.Context, f standin.File, key []string) (standin.History, error) {
	values, err := keyValues(f, key)
	if err != nil {
		return standin.History{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, pg.ReadTimeout)
	defer cancel()
	var h standin.History
	if h.Now, err = s.rowNow(ctx, f, values); err != nil {
		return h, err
	}
	if h.Changes, err = s.rowChanges(ctx, f, values); err != nil {
		return h, err
	}
	if h.Now == nil && h.Changes == nil {
		return h, &standin.Error{Code: standin.CodeNotFound,
			Message: fmt.Sprintf("%s has no row with the key %s, and never had", f.Name, keyText(key))}
	}
	return h, nil
}

// keyValues returns the values of the key columns. Parts that are left out at the
// end are taken as not recorded.
func keyValues(f standin.File, key []string) ([]any, error) {
	columns := keyColumns(f)
	if len(key) > len(columns) {
		return nil, badKey("the key of %s is %s; these are %d values", f.Name, strings.Join(f.Keys(), ", "), len(key))
	}
	values := make([]any, len(columns))
	for i, c := range columns {
		text := ""
		if i < len(key) {
			text = key[i]
		}
		switch {
		case text == "" && c.Required:
			return nil, badKey("the key of %s is %s; %s is missing", f.Name, strings.Join(f.Keys(), ", "), c.Name)
		case c.Kind != standin.Integer:
			values[i] = text
		case text != "":
			n, err := strconv.ParseInt(text, 10, 64)
			if err != nil {
				return nil, badKey("%s of %s must be a whole number, not %q", c.Name, f.Name, text)
			}
			values[i] = n
		}
	}
	return values, nil
}

func badKey(format string, args ...any) error {
	return &standin.Error{Code: standin.CodeBadRequest, Field: "key", Message: fmt.Sprintf(format, args...)}
}

// rowNow returns the row as it is stored, nil where it is not.
func (s *Store) rowNow(ctx context.Context, f standin.File, key []any) ([]standin.Field, error) {
	same := make([]string, len(key))
	for i, c := range keyColumns(f) {
		same[i] = fmt.Sprintf("%s IS NOT DISTINCT FROM $%d", qualified("b", c.Name), i+1)
		if key[i] != nil {
			same[i] = fmt.Sprintf("%s = $%d", qualified("b", c.Name), i+1)
		}
	}
	rows, err := s.pool.Query(ctx, fmt.Sprintf("SELECT %s FROM bundle.%s b WHERE %s",
		cellTexts(f.Columns, "b"), f.Name, strings.Join(same, " AND ")), key...)
	if err != nil {
		return nil, pg.Translate(err)
	}
	cells, err := pgx.CollectExactlyOneRow(rows, pgx.RowTo[[]string])
	if pg.IsNoRows(err) {
		return nil, nil
	}
	var now []standin.Field
	for i, cell := range cells {
		now = append(now, standin.Field{Column: f.Columns[i].Name, Value: cell})
	}
	return now, pg.Translate(err)
}

// rowChanges returns the changes of a row, newest first.
func (s *Store) rowChanges(ctx context.Context, f standin.File, key []any) ([]standin.PastChange, error) {
	texts := make([]*string, len(key))
	for i, value := range key {
		if value != nil {
			texts[i] = new(fmt.Sprint(value))
		}
	}
	rows, err := s.pool.Query(ctx, fmt.Sprintf(`SELECT %s,
			CASE WHEN c.before IS NULL THEN 'added' WHEN c.after IS NULL THEN 'removed' ELSE 'changed' END, %s, %s
		FROM %s JOIN imports ON imports.id = c.import_id
		WHERE c.file = $1 AND c.key = $2 ORDER BY c.import_id DESC, c.seq DESC`,
		importColumns, cellTexts(f.Columns, "b"), cellTexts(f.Columns, "a"), changedRows(f)), f.Name, texts)
	if err != nil {
		return nil, pg.Translate(err)
	}
	changes, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (standin.PastChange, error) {
		var i standin.Import
		var op string
		var before, after []string
		err := row.Scan(append(importFields(&i), &op, &before, &after)...)
		i.At = i.At.UTC()
		return standin.PastChange{Import: i, Change: changeOf(f, op, before, after)}, err
	})
	if len(changes) == 0 {
		changes = nil
	}
	return changes, pg.Translate(err)
}
