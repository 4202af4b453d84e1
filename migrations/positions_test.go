package migrations_test

import (
	"database/sql"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin/db/dbtest"
	"standin/migrations"
)

// landed is what a database of the schema before positions may hold, with the
// import that brought it.
const landed = `
	INSERT INTO families (family, code_length, readback) VALUES ('Lumen', 1, '{P1,P2}');
	INSERT INTO parts (part_number, kind) VALUES ('LB-1', 'board');
	INSERT INTO boards (part_id, family_id) VALUES (1, 1);
	INSERT INTO models (brand, model, volts, hertz) VALUES ('Ondara', 'WD 300', 230, 50), ('Ondara', 'WD 400', 110.5, NULL), ('Ondara', 'WD 500', NULL, NULL);
	INSERT INTO builds (model_id, build, made_from, made) VALUES (1, 'b1', '2001-01-01', '[2001-01-01,)');
	INSERT INTO loads (model_id, build_id, circuit, watts) VALUES (1, 1, 'heater', 2000), (1, NULL, 'motor', NULL);
	INSERT INTO configurations (family_id, model_id, build_id, code, pattern) VALUES (1, 1, 1, '{A}', '1f');
	INSERT INTO presets (part_id, model_id, build_id) VALUES (1, 1, NULL);
	INSERT INTO imports (by, bundle, catalogue_version, added, changed, removed) VALUES ('test', 'landed', 1, 4, 0, 0);
	INSERT INTO changes (import_id, seq, file, key, before, after) VALUES
		(1, 1, 'models', '{"brand": "Ondara", "model": "WD 300", "variant": ""}', '{"brand": "Ondara", "model": "WD 300", "variant": "", "volts": 220}', '{"brand": "Ondara", "model": "WD 300", "variant": "", "volts": 230, "hertz": 50}'),
		(1, 2, 'builds', '{"brand": "Ondara", "model": "WD 300", "variant": "", "build": "b1"}', NULL, '{"brand": "Ondara", "model": "WD 300", "variant": "", "build": "b1", "made_from": "2001-01-01"}'),
		(1, 3, 'loads', '{"brand": "Ondara", "model": "WD 300", "variant": "", "build": "b1", "circuit": "heater"}', NULL, '{"brand": "Ondara", "model": "WD 300", "variant": "", "build": "b1", "circuit": "heater", "watts": 2000}'),
		(1, 4, 'boards', '{"part_number": "LB-1"}', NULL, '{"part_number": "LB-1", "family": "Lumen"}')`

// views are the views of a bundle that the step makes anew.
var views = []string{"families", "boards", "models", "builds", "loads"}

// The step to positions keeps every row, and every change in the form in which
// the views now say it; the step back gives the rows as they were.
func TestPositionsKeepEveryRow(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	up(t, url)
	db := open(t, url)
	stepsBack := int(statusOf(t, url).Latest) - beforePositions
	if err := migrations.Down(t.Context(), url, stepsBack); err != nil {
		t.Fatal(err)
	}
	exec(t, db, landed)
	before := rowsOf(t, db)

	up(t, url)
	if got, want := one(t, db, `SELECT jsonb_agg(jsonb_build_array(model, volts, hertz, class) ORDER BY model) FROM bundle.models`),
		`[["WD 300", "230", [50], null], ["WD 400", "110.5", null, null], ["WD 500", null, null, null]]`; got != want {
		t.Errorf("plates are\n%s\nwant\n%s", got, want)
	}
	// An import can be undone only where what it left is what the view says now.
	for _, view := range views {
		same, wrong, _ := strings.Cut(one(t, db, `SELECT count(*) FILTER (WHERE to_jsonb(a) = to_jsonb(v)) || ' ' || count(*) FILTER (WHERE to_jsonb(a) <> to_jsonb(v))
			FROM changes c JOIN changed_columns n USING (import_id, file)
			CROSS JOIN jsonb_populate_record(NULL::bundle.`+view+`, jsonb_object(n.keys, c.key)) k
			CROSS JOIN jsonb_populate_record(NULL::bundle.`+view+`, jsonb_object(n.columns, c.after)) a
			JOIN bundle.`+view+` v ON jsonb_strip_nulls(to_jsonb(v)) @> jsonb_strip_nulls(to_jsonb(k))
			WHERE c.file = '`+view+`'`), " ")
		if wrong != "0" || same == "0" && view != "families" {
			t.Errorf("%s changes of %s are as the view says them, %s are not", same, view, wrong)
		}
	}
	if got := one(t, db, `SELECT string_agg(file, ' ' ORDER BY file) FROM changed_columns WHERE 'position' = ANY (keys)`); got != "builds loads" {
		t.Errorf("keys with a position are those of %s", got)
	}
	if got := one(t, db, `SELECT before[array_position(n.columns, 'volts')] FROM changes JOIN changed_columns n USING (import_id, file) WHERE seq = 1`); got != "220" {
		t.Errorf("the volts before the change are %s", got)
	}

	if err := migrations.Down(t.Context(), url, stepsBack); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, rowsOf(t, db)); diff != "" {
		t.Errorf("up and down again (+) differs (-):\n%s", diff)
	}
	up(t, url)
}

// The step back leaves nothing that would be read as something else.
func TestPositionsStepBack(t *testing.T) {
	t.Parallel()
	url := dbtest.Empty(t)
	up(t, url)
	const written = 11 // the version for which the rows below are written
	if err := migrations.Down(t.Context(), url, int(statusOf(t, url).Latest)-written); err != nil {
		t.Fatal(err)
	}
	db := open(t, url)
	exec(t, db, `
		INSERT INTO families (family, code_length, readback, alphabet) VALUES ('Lumen', 0, '{P1}', '{digit}'), ('Pane', 0, NULL, NULL);
		INSERT INTO parts (part_number, kind) VALUES ('LB-1', 'board'), ('DP-1', 'board');
		INSERT INTO boards (part_id, family_id, position) VALUES (1, 1, ''), (2, 2, 'display');
		INSERT INTO models (brand, model, volts, hertz, class) VALUES ('Ondara', 'WD 300', '220-240', '{50,60}', 'II');
		INSERT INTO builds (model_id, position, build, made) VALUES (1, '', 'b1', '(,)'), (1, 'display', 'b1', '(,)'), (1, 'display', 'd2', '(,)');
		INSERT INTO loads (model_id, position, build_id, circuit, amps) VALUES (1, '', NULL, 'heater', 8), (1, 'display', 2, 'lamp', 1);
		INSERT INTO configurations (family_id, model_id, build_id, code, pattern) VALUES (1, 1, 1, '{}', '1'), (1, 1, 3, '{}', NULL), (2, 1, NULL, '{}', NULL);
		INSERT INTO presets (part_id, model_id) VALUES (1, 1), (2, 1);
		INSERT INTO imports (by, bundle, catalogue_version, added, changed, removed) VALUES ('test', 'x', 1, 2, 1, 0);
		INSERT INTO changes (import_id, seq, file, key, before, after) VALUES
			(1, 1, 'models', '{"model": "WD 300"}', '{"model": "WD 300", "volts": "230"}', '{"model": "WD 300", "volts": "220-240", "class": "II"}'),
			(1, 2, 'models', '{"model": "WD 400"}', '{"model": "WD 400"}', '{"model": "WD 400", "class": "II"}'),
			(1, 3, 'builds', '{"build": "d2", "position": "display"}', NULL, '{"build": "d2", "position": "display"}')`)
	if err := migrations.Down(t.Context(), url, written-beforePositions); err != nil {
		t.Fatal(err)
	}
	for query, want := range map[string]string{
		`SELECT concat_ws(' ', volts, hertz, 'x') FROM models`:                                        "x",
		`SELECT string_agg(build, ' ') FROM builds`:                                                   "b1",
		`SELECT string_agg(circuit, ' ') FROM loads`:                                                  "heater",
		`SELECT string_agg(family_id || coalesce(pattern, '-') || build_id, ' ') FROM configurations`: "1-1",
		`SELECT string_agg(part_id::text, ' ') FROM presets`:                                          "1",
		`SELECT string_agg(seq || ' ' || before || ' ' || after, '; ') FROM changes`:                  `1 {"model": "WD 300", "volts": 230} {"model": "WD 300"}`,
	} {
		if got := one(t, db, query); got != want {
			t.Errorf("%s: %s, want %s", query, got, want)
		}
	}
}

// beforePositions is the version of the schema before the step.
const beforePositions = 7

// rowsOf is what the tables hold that the step touches.
func rowsOf(t *testing.T, db *sql.DB) map[string]string {
	t.Helper()
	rows := map[string]string{}
	for _, table := range []string{"families", "boards", "models", "builds", "loads", "configurations", "presets", "changes"} {
		rows[table] = one(t, db, `SELECT jsonb_agg(to_jsonb(x) ORDER BY to_jsonb(x)::text) FROM `+table+` x`)
	}
	return rows
}

// one is the one value that a query selects.
func one(t *testing.T, db *sql.DB, query string) string {
	t.Helper()
	var value sql.NullString
	if err := db.QueryRowContext(t.Context(), query).Scan(&value); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return value.String
}
