package bundle

import (
	"context"
	"fmt"
	"slices"

	"standin"
	"standin/db/internal/pg"
)

// Commit writes the changes, the audit rows and the new versions. A bundle with
// faults is an error (CodeRejected); one that changes nothing leaves no import.
func (t *importTx) Commit(ctx context.Context) (standin.Import, error) {
	if err := t.seal(ctx); err != nil {
		return standin.Import{}, err
	}
	made := t.summary()
	if made.Added+made.Changed+made.Removed == 0 {
		return made, t.Rollback()
	}
	if err := t.refuseFaults(ctx); err != nil {
		return standin.Import{}, err
	}
	for _, step := range []func(context.Context, *standin.Import) error{t.record, t.mergeRows, t.audit, t.endUpload, t.raiseVersions} {
		if err := step(ctx, &made); err != nil {
			return standin.Import{}, err
		}
	}
	if err := t.dropNext(ctx); err != nil {
		return standin.Import{}, err
	}
	var state standin.State
	if err := t.queryRow(ctx, "SELECT catalogue, stock FROM catalogue_state").Scan(&state.Catalogue, &state.Stock); err != nil {
		return standin.Import{}, pg.Translate(err)
	}
	defer t.catalogue.Changed()
	if err := t.tx.Commit(ctx); err != nil {
		return made, pg.Translate(err)
	}
	t.catalogue.Wrote(state)
	return made, nil
}

// summary returns the import as far as it is known before it is written.
func (t *importTx) summary() standin.Import {
	made := standin.Import{By: t.request.By, Bundle: t.request.Bundle, Undoes: t.undoes}
	for _, c := range t.counts {
		made.Added += c.added
		made.Changed += c.changed
		made.Removed += c.removed
	}
	return made
}

// refuseFaults refuses a bundle with faults, also where Check was not called or its
// findings were ignored.
func (t *importTx) refuseFaults(ctx context.Context) error {
	if t.clean {
		return nil
	}
	found, total, err := t.Check(ctx, 1)
	if err != nil || total == 0 {
		return err
	}
	return &standin.Error{Code: standin.CodeRejected, Field: found[0].Column,
		Message: fmt.Sprintf("the bundle has %d faults, the first %s", total, findingText(found[0]))}
}

func findingText(f standin.Finding) string {
	if f.File == "" {
		return "that " + f.Message
	}
	return fmt.Sprintf("in %s, line %d: %s", f.File, f.Line, f.Message)
}

// record writes the import's own row. Only imports raise the version of the
// catalogue, one at a time, so the next is known.
func (t *importTx) record(ctx context.Context, made *standin.Import) error {
	err := t.queryRow(ctx, `INSERT INTO imports (by, bundle, catalogue_version, added, changed, removed, undoes)
		SELECT $1, $2, catalogue + $3, $4, $5, $6, nullif($7::bigint, 0) FROM catalogue_state
		RETURNING id, at, catalogue_version`,
		made.By, made.Bundle, boolInt(t.changesCatalogue()), made.Added, made.Changed, made.Removed, made.Undoes,
	).Scan(&made.ID, &made.At, &made.CatalogueVersion)
	made.At = made.At.UTC()
	if err != nil || made.Undoes == 0 {
		return pg.Translate(err)
	}
	return t.exec(ctx, "UPDATE imports SET undone_by = $1 WHERE id = $2", made.ID, made.Undoes)
}

func (t *importTx) mergeRows(ctx context.Context, _ *standin.Import) error {
	return t.keepingTrust(ctx, t.merge)
}

// audit keeps every change in the columns of the bundle, so that it can be shown
// and undone.
func (t *importTx) audit(ctx context.Context, made *standin.Import) error {
	seq := 0
	for _, c := range t.counts {
		n, err := t.execCount(ctx, auditSQL(c.File), made.ID, seq)
		if err != nil {
			return err
		}
		if n == 0 {
			continue
		}
		seq += n
		err = t.exec(ctx, "INSERT INTO changed_columns (import_id, file, keys, columns) VALUES ($1, $2, $3, $4)",
			made.ID, c.Name, c.Keys(), columnNames(c.File))
		if err != nil {
			return err
		}
	}
	return nil
}

// endUpload ends the upload that the import is of, so that what is said of it is true
// whatever becomes of the service. One that was given up must not be imported any more.
func (t *importTx) endUpload(ctx context.Context, made *standin.Import) error {
	if t.request.Upload == "" {
		return nil
	}
	ended, err := t.execCount(ctx, `UPDATE uploads SET state = 'done', import_id = $2, ended = clock_timestamp(), heartbeat = clock_timestamp()
		WHERE id = $1 AND ended IS NULL`, t.request.Upload, made.ID)
	if err == nil && ended == 0 {
		err = conflict("the upload was given up before it was imported; nothing was imported, send it again")
	}
	return err
}

func auditSQL(f standin.File) string {
	return fmt.Sprintf(`INSERT INTO changes (import_id, seq, file, key, before, after)
		SELECT $1, $2 + row_number() OVER (), '%s', %s,
			CASE WHEN d.op <> 'added' THEN %s END, CASE WHEN d.op <> 'removed' THEN %s END
		FROM %s d`, f.Name, texts(f.Keys(), "d"), texts(columnNames(f), "(d.old)"), texts(columnNames(f), "d"), deltaOf(f))
}

// raiseVersions is the last step, because it blocks everyone else who changes the
// stock until the import is committed. A trigger notifies the listeners.
func (t *importTx) raiseVersions(ctx context.Context, made *standin.Import) error {
	return t.exec(ctx, `WITH next AS (
			UPDATE catalogue_state SET catalogue = catalogue + $1, stock = stock + $2, feed = feed + 1 RETURNING feed
		)
		INSERT INTO feed (version, seq, by, kind, import_id) SELECT feed, 0, $3, 'import', $4 FROM next`,
		boolInt(t.changesCatalogue()), boolInt(t.changesStock()), made.By, made.ID)
}

func (t *importTx) changesStock() bool { return t.changes("stock") }

func (t *importTx) changesCatalogue() bool {
	return slices.ContainsFunc(t.counts, func(c fileCount) bool { return c.changes() > 0 && c.Name != "stock" })
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
