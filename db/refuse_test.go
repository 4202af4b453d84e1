package db

import (
	"errors"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"standin"
)

// What the database itself refuses, each beside the nearest that it takes. The
// statements change the catalogue of testdata; deferred rules are kept at once.
func TestDatabaseRefuses(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	const build = `INSERT INTO builds (model_id, build, made_from, made_to, made) VALUES `
	const configuration = `INSERT INTO configurations (family_id, model_id, build_id, issue_from, issue_to, code, pattern) VALUES `
	const stock = `INSERT INTO stock (location, part_id, revision_id, condition, quantity) VALUES `
	tests := []struct {
		rule  string // empty: it is taken
		about string
		sql   string
	}{
		{"builds_of_a_model_do_not_overlap", "a day before the next begins", build + `(1, 'b0', '1999-01-01', '2000-01-01', '[1999-01-01,2000-01-02)')`},
		{"", "up to the day before", build + `(1, 'b0', '1999-01-01', '1999-12-31', '[1999-01-01,2000-01-01)')`},
		{"builds_of_a_model_do_not_overlap", "open at the start", build + `(1, 'b0', NULL, '2000-01-01', '(,2000-01-02)')`},
		{"builds_of_a_model_do_not_overlap", "open at the end", build + `(1, 'b3', '2010-01-01', NULL, '[2010-01-01,)')`},
		{"", "the same days of another model", build + `(2, 'b0', '2000-01-01', NULL, '[2000-01-01,)')`},
		{"", "no date recorded", build + `(1, 'b3', NULL, NULL, '(,)')`},
		{"build_is_made_before_it_ends", "ends before it begins", build + `(2, 'b', '2000-01-02', '2000-01-01', '[2000-01-02,2000-01-02)')`},
		{"", "one day", build + `(2, 'b', '2000-01-01', '2000-01-01', '[2000-01-01,2000-01-02)')`},
		{"build_span_begins_and_ends_as_stated", "another end than stated", build + `(2, 'b', '2000-01-01', '2000-01-31', '[2000-01-01,2000-01-31)')`},
		{"build_span_begins_and_ends_as_stated", "another beginning than stated", build + `(2, 'b', '2000-01-02', NULL, '[2000-01-01,)')`},
		{"builds_of_a_model_are_unique", "a label twice", build + `(1, 'b1', NULL, NULL, '(,)')`},
		{"build_belongs_to_a_model", "of no model", build + `(99, 'b', NULL, NULL, '(,)')`},
		{"build_run_out_is_not_negative", "run-out of -1", `UPDATE builds SET run_out_days = -1 WHERE id = 1`},
		{"", "run-out of 0", `UPDATE builds SET run_out_days = 0 WHERE id = 1`},
		{"build_factory_revision_is_of_its_board", "a revision of another board", `UPDATE builds SET revision_id = 4 WHERE id = 1`},
		{"build_with_a_factory_revision_names_the_board", "a revision of no board", `UPDATE builds SET part_id = NULL WHERE id = 1`},
		{"build_factory_board_is_known", "an adaptor as board", `UPDATE builds SET part_id = 11 WHERE id = 2`},
		{"build_layout_is_known", "no such layout", `UPDATE builds SET layout_id = 99 WHERE id = 1`},

		{"configurations_do_not_overlap_in_issues", "an issue twice", configuration + `(1, 1, NULL, 3, 3, '{A,B,C}', NULL)`},
		{"configurations_do_not_overlap_in_issues", "the last issue of a range", configuration + `(1, 2, NULL, 1, 4, '{A,B,C}', NULL), (1, 2, NULL, 4, 5, '{A,B,C}', NULL)`},
		{"", "the issue after it", configuration + `(1, 2, NULL, 1, 4, '{A,B,C}', NULL), (1, 2, NULL, 5, 5, '{A,B,C}', NULL)`},
		{"configurations_do_not_overlap_in_issues", "within one build", configuration + `(1, 1, 1, 7, 7, '{A,B,C}', NULL)`},
		{"", "of another build", configuration + `(1, 1, 2, 7, 7, '{A,B,C}', NULL)`},
		{"", "of another family", configuration + `(2, 1, NULL, 3, 3, '{}', NULL)`},
		{"configurations_are_unique", "a key twice", configuration + `(1, 1, NULL, NULL, NULL, '{A,B,C}', NULL)`},
		{"configuration_code_has_the_length_of_its_family", "a symbol short", configuration + `(1, 2, NULL, NULL, NULL, '{A,B}', NULL)`},
		{"configuration_code_has_the_length_of_its_family", "a symbol over", configuration + `(1, 2, NULL, NULL, NULL, '{A,B,C,D}', NULL)`},
		{"configuration_code_has_the_length_of_its_family", "no such family", configuration + `(99, 2, NULL, NULL, NULL, '{A,B,C}', NULL)`},
		{"configuration_code_has_the_length_of_its_family", "the family's changes under it", `UPDATE families SET code_length = 4 WHERE id = 1`},
		{"configuration_pattern_has_the_length_of_its_family", "a point short", configuration + `(1, 2, NULL, NULL, NULL, '{A,B,C}', '101')`},
		{"", "a character a point", configuration + `(1, 2, NULL, NULL, NULL, '{A,B,C}', '10f-')`},
		{"configuration_pattern_has_the_length_of_its_family", "a point over", configuration + `(1, 2, NULL, NULL, NULL, '{A,B,C}', '10101')`},
		{"configuration_pattern_has_the_length_of_its_family", "the family's changes under it", `UPDATE families SET readback = '{P1,P2,P3}' WHERE id = 1`},
		{"configuration_pattern_is_made_of_what_points_show", "another character", configuration + `(1, 2, NULL, NULL, NULL, '{A,B,C}', '10?-')`},
		{"family_alphabet_is_one_for_all_points_or_one_a_point", "an alphabet short", `UPDATE families SET alphabet = '{lamp,digit,lamp}' WHERE id = 1`},
		{"", "an alphabet for all points", `UPDATE families SET alphabet = '{digit}' WHERE id = 1`},
		{"family_method_is_known", "another method", `UPDATE families SET method = 'guessing' WHERE id = 1`},
		{"builds_of_a_model_do_not_overlap", "in one position", `INSERT INTO builds (model_id, position, build, made_from, made) VALUES
			(2, 'display', 'd1', '2001-01-01', '[2001-01-01,)'), (2, 'display', 'd2', '2002-01-01', '[2002-01-01,)')`},
		{"", "in two positions", `INSERT INTO builds (model_id, position, build, made_from, made) VALUES
			(2, 'display', 'b', '2001-01-01', '[2001-01-01,)'), (2, '', 'b', '2002-01-01', '[2002-01-01,)')`},
		{"load_is_of_a_build_of_its_model", "a build of another position", `INSERT INTO loads (model_id, position, build_id, circuit) VALUES (1, 'display', 1, 'lamp')`},
		{"load_power_factor_is_a_share", "more than all", `UPDATE loads SET power_factor = 1.2`},
		{"load_ohms_are_in_order", "the wrong way round", `UPDATE loads SET ohms_low = 30, ohms_high = 20`},
		{"model_volts_are_voltages_or_ranges", "a unit", `UPDATE models SET volts = '230 V' WHERE id = 1`},
		{"", "two ranges", `UPDATE models SET volts = '110-120/220-240' WHERE id = 1`},
		{"model_class_is_i_ii_or_iii", "no class", `UPDATE models SET class = 'IV' WHERE id = 1`},
		{"configuration_is_for_a_build_of_its_model", "a build of another model", configuration + `(1, 2, 1, NULL, NULL, '{A,B,C}', NULL)`},
		{"configuration_issues_count_from_one", "issue 0", configuration + `(1, 2, NULL, 0, NULL, '{A,B,C}', NULL)`},
		{"22000", "issues the wrong way round", configuration + `(1, 2, NULL, 3, 2, '{A,B,C}', NULL)`},

		{"stock_is_not_negative", "less than nothing", stock + `('front', 2, NULL, 'new', -1)`},
		{"", "nothing", stock + `('front', 2, NULL, 'new', 0)`},
		{"stock_lines_are_unique", "a line twice, revision not known", stock + `('front', 1, NULL, 'used', 1)`},
		{"", "in another condition", stock + `('front', 1, NULL, 'new', 1)`},
		{"stock_revision_is_of_its_board", "a revision of another board", stock + `('front', 2, 1, 'new', 1)`},
		{"stock_is_of_a_part", "of no part", stock + `('front', 99, NULL, 'new', 1)`},

		{"parts_are_unique", "an adaptor with a board's number", `INSERT INTO parts (part_number, kind) VALUES ('FX-1', 'adaptor')`},
		{"board_is_a_part", "an adaptor that is a board too", `INSERT INTO boards (part_id) VALUES (11)`},
		{"board_family_is_known", "of no family", `UPDATE boards SET family_id = 99 WHERE part_id = 1`},
		{"connector_has_a_circuit_for_each_way", "a circuit short", `UPDATE connectors SET circuits = '{heater}' WHERE layout_id = 1 AND connector = 'J2'`},
		{"connector_belongs_to_a_layout", "a layout taken away", `DELETE FROM layouts WHERE id = 2`},
		{"revision_volts_are_in_order", "volts the wrong way round", `UPDATE revisions SET volts_min = 254 WHERE id = 1`},
		{"", "one voltage", `UPDATE revisions SET volts_min = 253 WHERE id = 1`},
		{"revision_hertz_are_positive", "0 Hz", `UPDATE revisions SET hertz = '{50,0}' WHERE id = 1`},
		{"marking_leads_to_a_revision_of_its_board", "a revision of another board", `UPDATE markings SET revision_id = 1 WHERE marking = '77'`},
		{"supersession_leads_to_another_part", "itself", `INSERT INTO supersessions (old_part_id, new_part_id) VALUES (1, 1)`},
		{"twin_is_of_another_model", "itself", `INSERT INTO twins (model_id, of_model_id) VALUES (2, 2)`},
		{"loads_are_unique", "a circuit twice", `INSERT INTO loads (model_id, circuit) VALUES (1, 'heater')`},
		{"presets_are_unique", "twice", `INSERT INTO presets (part_id, model_id) VALUES (8, 7)`},
		{"models_are_unique", "twice", `INSERT INTO models (brand, model) VALUES ('Ondara', 'WD 300')`},
		{"catalogue_state_is_one_row", "a second state", `INSERT INTO catalogue_state (id) VALUES (2)`},
	}
	for _, tt := range tests {
		err := tryAndUndo(t, db, tt.sql)
		if tt.rule == "" && err != nil {
			t.Errorf("%s is refused: %v\nin %s", tt.about, err, tt.sql)
		}
		if tt.rule != "" && brokenBy(err) != tt.rule {
			t.Errorf("%s: %v, want it refused by %s\nin %s", tt.about, err, tt.rule, tt.sql)
		}
	}
}

// tryAndUndo keeps every rule at once and leaves nothing behind.
func tryAndUndo(t *testing.T, db *DB, sql string) error {
	t.Helper()
	undo := errors.New("undo")
	err := pgx.BeginFunc(t.Context(), db.pool, func(tx pgx.Tx) error {
		if _, err := tx.Exec(t.Context(), sql); err != nil {
			return err
		}
		if _, err := tx.Exec(t.Context(), `SET CONSTRAINTS ALL IMMEDIATE`); err != nil {
			return err
		}
		return undo
	})
	if errors.Is(err, undo) {
		return nil
	}
	return err
}

// brokenBy is the constraint that refused, or the SQLSTATE where there is none.
func brokenBy(err error) string {
	pgErr, ok := errors.AsType[*pgconn.PgError](err)
	if !ok {
		return ""
	}
	if pgErr.ConstraintName == "" {
		return pgErr.Code
	}
	return pgErr.ConstraintName
}

// A rule that was broken reaches people as a sentence.
func TestBrokenRuleReadsAsOne(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	_, err := db.pool.Exec(t.Context(), `UPDATE stock SET quantity = -1`)
	refused, ok := errors.AsType[*standin.Error](translate(err))
	if !ok || refused.Code != standin.CodeRejected || !strings.HasSuffix(refused.Message, "in stock, by the rule: stock is not negative") {
		t.Errorf("%v", err)
	}
}
