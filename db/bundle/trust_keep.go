package bundle

import (
	"context"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"

	"standin"
)

// How far the patterns of a family can be trusted is worked out in the same
// transaction in which something it depends on changes. A trigger deletes what is
// stored when configurations change in a transaction that has not set
// standin.keeps_trust, so that what is stored is always right (see the migration).

// trustedAtOnce is how many configurations of several families are in memory at
// once: some 12 MB. Three such lots are under way.
const trustedAtOnce = 30_000

// keepingTrust changes configurations and brings the stored trust in their patterns
// up to date.
func (t *importTx) keepingTrust(ctx context.Context, change func(context.Context) error) error {
	if err := t.exec(ctx, "SET LOCAL standin.keeps_trust = 'yes'"); err != nil {
		return err
	}
	if err := change(ctx); err != nil {
		return err
	}
	changed := ""
	for _, file := range []string{"configurations", "families"} {
		if t.changes(file) {
			changed += " OR f.family IN (SELECT family FROM delta_" + file + ")"
		}
	}
	return t.workOutTrust(ctx, changed)
}

// WorkOutTrust works out the trust in the patterns of the families for which none is
// stored: after a migration, or after configurations were changed by other means
// than an import. It does nothing where there is no such family, or while another
// import is open, which does the same.
func (s *Store) WorkOutTrust(ctx context.Context) error {
	var missing bool
	err := pgx.BeginFunc(ctx, s.pool, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, limitLocksSQL); err != nil {
			return err
		}
		return tx.QueryRow(ctx, familyWithoutTrustSQL).Scan(&missing)
	})
	if err != nil || !missing {
		return pg.Translate(err)
	}
	t, err := s.openImport(ctx, standin.ImportRequest{})
	if standin.CodeOf(err) == standin.CodeConflict {
		return nil // the import that is under way does it
	}
	if err != nil {
		return err
	}
	defer t.Rollback()
	if _, err := t.tx.Exec(ctx, limitLocksSQL); err != nil {
		return pg.Translate(err)
	}
	if err := t.workOutTrust(ctx, ""); err != nil {
		return err
	}
	return pg.Translate(t.tx.Commit(ctx))
}

// limitLocksSQL bounds the wait for a lock: a migration waits for none for ever.
const limitLocksSQL = `SET LOCAL lock_timeout = '10s'`

const familyWithoutTrustSQL = `
SELECT EXISTS (SELECT FROM families f WHERE NOT EXISTS (SELECT FROM trusted_families t WHERE t.family_id = f.id))`

// familyToTrust is a family whose trust is to be worked out.
type familyToTrust struct {
	id             int64
	configurations int
	standin.Family
}

// workOutTrust works out and stores the trust of the families for which none is
// stored, and of those that a further condition selects: empty, or OR and a
// condition on f.
func (t *importTx) workOutTrust(ctx context.Context, or string) error {
	families, err := t.familiesToTrust(ctx, or)
	if err != nil || len(families) == 0 {
		return err
	}
	if err := t.exec(ctx, `CREATE TEMPORARY TABLE trust_now (LIKE settings) ON COMMIT DROP`); err != nil {
		return err
	}
	// While one lot is worked out the next is read and the one before is written.
	var last *trustLot
	for len(families) > 0 {
		lot := takeLot(&families)
		if err := t.readLot(ctx, lot); err != nil {
			return err
		}
		go lot.workOut()
		if err := t.writeLot(ctx, last); err != nil {
			return err
		}
		last = lot
	}
	if err := t.writeLot(ctx, last); err != nil {
		return err
	}
	return t.exec(ctx, "DROP TABLE trust_now; ANALYZE settings")
}

func (t *importTx) familiesToTrust(ctx context.Context, or string) ([]familyToTrust, error) {
	rows, err := t.query(ctx, `SELECT f.id, f.family, f.selector, f.code_length, f.readback,
			coalesce(array_to_string(f.alphabet, ' '), ''),
			(SELECT count(*) FROM configurations c WHERE c.family_id = f.id)
		FROM families f
		WHERE NOT EXISTS (SELECT FROM trusted_families t WHERE t.family_id = f.id)`+or+`
		ORDER BY f.id`)
	if err != nil {
		return nil, pg.Translate(err)
	}
	families, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (f familyToTrust, err error) {
		var alphabet string
		if err := row.Scan(&f.id, &f.Name, &f.Selector, &f.CodeLength, &f.Readback, &alphabet, &f.configurations); err != nil {
			return f, err
		}
		return f, pg.ReadAlphabet(&f.Family, alphabet)
	})
	return families, pg.Translate(err)
}

const settingsOfTrustSQL = `
SELECT c.family_id, array_to_string(c.code, ' '), coalesce(c.pattern, ''), m.brand, m.model, m.variant
FROM configurations c
JOIN models m ON m.id = c.model_id
WHERE c.family_id = ANY ($1)`

func (t *importTx) readLot(ctx context.Context, lot *trustLot) error {
	rows, err := t.query(ctx, settingsOfTrustSQL, lot.ids())
	if err != nil {
		return pg.Translate(err)
	}
	var family int64
	var code string
	var c standin.Configuration
	_, err = pgx.ForEachRow(rows, []any{&family, &code, &c.Pattern, &c.Model.Brand, &c.Model.Model, &c.Model.Variant}, func() error {
		lot.add(family, code, c)
		return nil
	})
	return pg.Translate(err)
}

// writeLot stores what was worked out, as far as it is not stored already.
func (t *importTx) writeLot(ctx context.Context, lot *trustLot) error {
	if lot == nil {
		return nil
	}
	<-lot.done
	if _, err := t.tx.CopyFrom(ctx, pgx.Identifier{"trust_now"}, settingColumns, lot.rows()); err != nil {
		return pg.Translate(err)
	}
	ids, unrecorded := lot.ids(), lot.unrecorded()
	if err := t.exec(ctx, dropSettings, ids); err != nil {
		return err
	}
	if err := t.exec(ctx, keepSettings); err != nil {
		return err
	}
	if err := t.exec(ctx, keepFamilies, ids, unrecorded); err != nil {
		return err
	}
	return t.exec(ctx, "TRUNCATE trust_now")
}

var settingColumns = []string{"family_id", "code", "pattern", "models", "model_count", "also_unrecorded", "distance",
	"nearest_codes", "nearest_patterns", "nearest_count"}

// Settings that are stored and no longer recorded are deleted first.
const dropSettings = `DELETE FROM settings s
	WHERE s.family_id = ANY ($1) AND NOT EXISTS (
		SELECT FROM trust_now n WHERE n.family_id = s.family_id AND n.code = s.code AND n.pattern = s.pattern)`

const keepSettings = `INSERT INTO settings (family_id, code, pattern, models, model_count, also_unrecorded, distance,
		nearest_codes, nearest_patterns, nearest_count)
	SELECT family_id, code, pattern, models, model_count, also_unrecorded, distance, nearest_codes, nearest_patterns, nearest_count
	FROM trust_now
	ORDER BY family_id, code, pattern
	ON CONFLICT (family_id, code, pattern) DO UPDATE
	SET models = excluded.models, model_count = excluded.model_count, also_unrecorded = excluded.also_unrecorded,
		distance = excluded.distance, nearest_codes = excluded.nearest_codes, nearest_patterns = excluded.nearest_patterns,
		nearest_count = excluded.nearest_count
	WHERE (settings.models, settings.model_count, settings.also_unrecorded, settings.distance,
			settings.nearest_codes, settings.nearest_patterns, settings.nearest_count)
		IS DISTINCT FROM (excluded.models, excluded.model_count, excluded.also_unrecorded, excluded.distance,
			excluded.nearest_codes, excluded.nearest_patterns, excluded.nearest_count)`

const keepFamilies = `INSERT INTO trusted_families (family_id, unrecorded)
	SELECT * FROM unnest($1::bigint[], $2::integer[])
	ON CONFLICT (family_id) DO UPDATE SET unrecorded = excluded.unrecorded
	WHERE trusted_families.unrecorded <> excluded.unrecorded`
