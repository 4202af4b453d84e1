package bundle

import (
	"context"
	"fmt"

	"standin"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"
)

// Undo restores exactly what an import changed. It is an import of its own whose
// bundle is the rows as they were. An import that does not exist is an error
// (CodeNotFound), one that was undone or whose rows changed since too
// (CodeConflict). To undo a supply stop of a revision that stays is to lift it, which
// takes the same consent.
func (s *Store) Undo(ctx context.Context, id int64, request standin.UndoRequest) (standin.Import, error) {
	t, err := s.openImport(ctx, standin.ImportRequest{By: request.By, Bundle: fmt.Sprintf("undo of import %d", id),
		LiftStops: request.LiftStops, Upload: request.Upload})
	if err != nil {
		return standin.Import{}, err
	}
	defer t.Rollback()
	if err := t.mayUndo(ctx, id); err != nil {
		return standin.Import{}, err
	}
	if err := t.stageUndo(ctx, id); err != nil {
		return standin.Import{}, err
	}
	if err := t.refuseOverwriting(ctx, id); err != nil {
		return standin.Import{}, err
	}
	found, total, err := t.Check(ctx, 1)
	if err != nil {
		return standin.Import{}, err
	}
	if total > 0 {
		refused := conflict("import %d cannot be undone: %s", id, found[0].Message)
		if found[0].Code == standin.LiftedStop {
			refused.Field = "consent"
		}
		return standin.Import{}, refused
	}
	return t.Commit(ctx)
}

func conflict(format string, values ...any) *standin.Error {
	return &standin.Error{Code: standin.CodeConflict, Message: fmt.Sprintf(format, values...)}
}

// mayUndo returns an error for an import that does not exist or was undone.
func (t *importTx) mayUndo(ctx context.Context, id int64) error {
	i, err := importOf(ctx, t.tx, id)
	if err != nil {
		return err
	}
	if i.UndoneBy != 0 {
		return conflict("import %d was undone already, by import %d", id, i.UndoneBy)
	}
	t.undoes = id
	return nil
}

// stageUndo stages the rows as they were before an import, and, for removal, those
// it added. Their places are the numbers of the changes.
func (t *importTx) stageUndo(ctx context.Context, id int64) error {
	rows, err := t.query(ctx, "SELECT DISTINCT file FROM changes WHERE import_id = $1", id)
	if err != nil {
		return pg.Translate(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return pg.Translate(err)
	}
	t.files = []bundleFile{{name: t.request.Bundle}}
	if err := t.createStages(ctx, names...); err != nil {
		return err
	}
	for _, f := range t.stagedFiles() {
		err := t.exec(ctx, fmt.Sprintf(`INSERT INTO %s (place, removed, %s)
			SELECT c.seq, c.before IS NULL, %s
			FROM changes c JOIN changed_columns k ON k.import_id = c.import_id AND k.file = c.file
			CROSS JOIN jsonb_populate_record(NULL::bundle.%s, jsonb_object(k.columns, coalesce(c.before, c.after))) r
			WHERE c.import_id = $1 AND c.file = '%[4]s'`, stageOf(f), columnList(f, ""), columnList(f, "r"), f.Name), id)
		if err != nil {
			return err
		}
	}
	return nil
}

// refuseOverwriting returns an error where rows of the import are no longer as it
// left them.
func (t *importTx) refuseOverwriting(ctx context.Context, id int64) error {
	for _, f := range t.stagedFiles() {
		var n int
		var key []string
		err := t.queryRow(ctx, fmt.Sprintf(`SELECT count(*), coalesce(min(%s), '{}')
			FROM changes c JOIN changed_columns k ON k.import_id = c.import_id AND k.file = c.file
			CROSS JOIN jsonb_populate_record(NULL::bundle.%[2]s, jsonb_object(k.columns, coalesce(c.after, c.before))) r
			LEFT JOIN bundle.%[2]s b ON %[3]s
			WHERE c.import_id = $1 AND c.file = '%[2]s'
				AND CASE WHEN c.after IS NULL THEN %[4]s IS NOT NULL ELSE (%[5]s) IS DISTINCT FROM (%[6]s) END`,
			cellTexts(keyColumns(f), "r"), f.Name, sameKey(f, "b", "r"), qualified("b", f.Keys()[0]),
			columnList(f, "b"), columnList(f, "r")), id).Scan(&n, &key)
		if err != nil {
			return pg.Translate(err)
		}
		if n > 0 {
			return t.overwritten(ctx, id, f, n, key)
		}
	}
	return nil
}

// overwritten returns the error that names the later imports which prevent an undo.
// One that was undone does not, nor does its undo.
func (t *importTx) overwritten(ctx context.Context, id int64, f standin.File, n int, key []string) error {
	var later []int64
	err := t.queryRow(ctx, `SELECT coalesce(array_agg(DISTINCT l.import_id ORDER BY l.import_id), '{}')
		FROM changes c JOIN changes l ON l.key = c.key AND l.file = c.file AND l.import_id > c.import_id
		JOIN imports i ON i.id = l.import_id AND i.undone_by IS NULL
		WHERE c.import_id = $1 AND c.file = $2 AND (i.undoes IS NULL OR i.undoes <= c.import_id)`, id, f.Name).Scan(&later)
	if err != nil {
		return pg.Translate(err)
	}
	rows := fmt.Sprintf("%d rows of %s", n, f.Name)
	if n == 1 {
		rows = "a row of " + f.Name
	}
	return conflict("import %d cannot be undone: %s (%s) changed since, by %s", id, rows, keyText(key), importList(later))
}

// importList names one or two imports, or the last of several.
func importList(ids []int64) string {
	switch len(ids) {
	case 0:
		return "other means than an import"
	case 1:
		return fmt.Sprintf("import %d", ids[0])
	case 2:
		return fmt.Sprintf("imports %d and %d", ids[0], ids[1])
	}
	return fmt.Sprintf("%d imports, the last of them import %d", len(ids), ids[len(ids)-1])
}
