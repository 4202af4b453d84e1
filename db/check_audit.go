package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"standin"
)

// ofAudited says which stored rows of a file an audit of one family speaks of: its
// configurations, the builds of their models, the headers of its boards. What
// belongs to no family is left out.
var ofAudited = map[string]string{
	"configurations": "b.family IN (SELECT family FROM audited)",
	"builds":         "(b.brand, b.model, b.variant) IN (SELECT c.brand, c.model, c.variant FROM bundle.configurations c JOIN audited USING (family))",
	"layouts":        "b.layout IN (SELECT r.layout FROM bundle.revisions r JOIN bundle.boards USING (part_number) JOIN audited USING (family))",
}

// Audit finds what is odd about what is stored, of one family or, where that is
// empty, of all: the warnings of an import, without lines. It returns at most limit
// findings, and how many there are. CodeNotFound where there is no such family.
func (db *DB) Audit(ctx context.Context, family string, limit int) (found []standin.Finding, total int, err error) {
	// All questions are about one state; the views they speak of are gone with
	// the rollback.
	tx, err := db.pool.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead})
	if err != nil {
		return nil, 0, translate(err)
	}
	defer rollback(ctx, tx)
	t := &importTx{tx: tx, staged: map[string]bool{}, sealed: true, audits: true}
	if err := t.auditOf(ctx, family); err != nil {
		return nil, 0, err
	}
	if found, total, err = t.Warnings(ctx, limit); err != nil {
		return nil, 0, err
	}
	failing, err := t.failingReadings(ctx, family)
	found = append(found, failing[:min(len(failing), max(0, limit-len(found)))]...)
	return found, total + len(failing), err
}

// auditOf makes the views next_<file> with a place of -1 for each row spoken of.
func (t *importTx) auditOf(ctx context.Context, family string) error {
	if err := t.setUp(ctx); err != nil {
		return err
	}
	if family == "" {
		return t.createNext(ctx, func(standin.File) string { return "-1::bigint" })
	}
	if err := t.knowsFamily(ctx, family); err != nil {
		return err
	}
	if err := t.exec(ctx, "CREATE TEMPORARY TABLE audited (family text) ON COMMIT DROP"); err != nil {
		return err
	}
	if err := t.exec(ctx, "INSERT INTO audited VALUES ($1)", family); err != nil {
		return err
	}
	return t.createNext(ctx, func(f standin.File) string {
		if of, ok := ofAudited[f.Name]; ok {
			return "CASE WHEN " + of + " THEN -1::bigint END"
		}
		return "NULL::bigint"
	})
}
