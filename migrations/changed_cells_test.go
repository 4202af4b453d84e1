package migrations_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin/db/dbtest"
	"standin/migrations"
)

// Changes that were kept as JSON are the same after they were kept as cells: texts with
// what arrays and JSON escape, numbers, dates, lists, empty ones and what is not recorded.
func TestChangesAreKeptAsCells(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	up(t, url)
	db := open(t, url)
	const asJSON = 11
	stepsBack := int(statusOf(t, url).Latest) - asJSON
	if err := migrations.Down(t.Context(), url, stepsBack); err != nil {
		t.Fatal(err)
	}
	exec(t, db, `
		INSERT INTO imports (by, bundle, catalogue_version, added, changed, removed) VALUES ('test', 'x', 1, 4, 1, 1);
		INSERT INTO changes (import_id, seq, file, key, before, after) VALUES
			(1, 1, 'models', '{"brand": "A, \"B\"", "model": "{C} \\ NULL", "variant": ""}', NULL,
				'{"brand": "A, \"B\"", "model": "{C} \\ NULL", "variant": "", "hertz": [50, 60], "made_from": "2001-02-03"}'),
			(1, 2, 'configurations', '{"family": "F", "brand": "A", "model": "M", "variant": "", "build": ""}',
				'{"family": "F", "brand": "A", "model": "M", "variant": "", "build": "", "code": ["A", "{", "\"", "NULL"], "pattern": "1-f"}', NULL),
			(1, 3, 'configurations', '{"family": "F", "brand": "A", "model": "M", "variant": "", "build": "", "issue_from": 2}', NULL,
				'{"family": "F", "brand": "A", "model": "M", "variant": "", "build": "", "issue_from": 2, "code": []}'),
			(1, 4, 'revisions', '{"part_number": "P", "revision": "A"}', '{"part_number": "P", "revision": "A", "volts_min": 0.1, "issue": 1}',
				'{"part_number": "P", "revision": "A", "volts_min": 207.5, "issue": 2, "options": []}')`)
	const all = `SELECT jsonb_agg(to_jsonb(c) ORDER BY seq) FROM changes c`
	before := one(t, db, all)
	up(t, url)
	if got := one(t, db, `SELECT array_to_string(key, '|', '-') FROM changes WHERE seq = 3`); got != "F|A|M|||2" {
		t.Errorf("a key is kept as %s", got)
	}
	if got := one(t, db, `SELECT count(*)::text FROM changed_columns`); got != "3" {
		t.Errorf("columns are kept of %s files", got)
	}
	if err := migrations.Down(t.Context(), url, stepsBack); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, one(t, db, all)); diff != "" {
		t.Errorf("up and down again (+) differs (-):\n%s", diff)
	}
	up(t, url)
}
