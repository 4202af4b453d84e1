package db

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// near are the settings near a reading, a line each.
func near(t *testing.T, db *DB, reading standin.Reading, limit int) (lines string, found *standin.NearSettings) {
	t.Helper()
	found, err := db.SettingsNear(t.Context(), reading, limit)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, s := range found.Settings {
		fmt.Fprintf(&b, "%s %s %s x%d", s.Family.Name, strings.Join(s.Code, ""), s.Pattern, s.Count)
		for _, c := range s.Configurations {
			fmt.Fprintf(&b, " %s", c.Model)
		}
		b.WriteString("\n")
	}
	return b.String(), found
}

const manySettings = `
INSERT INTO families (family, selector, code_length, readback) VALUES ('One', '{A,B}', 1, '{P,Q,R}'), ('Two', '{A,B}', 1, '{P,Q,R}'), ('Four', '{A,B}', 1, '{P,Q,R,S}');
INSERT INTO models (brand, model) SELECT 'Ouse', 'W' || chr(64 + n) FROM generate_series(1, 5) n;
INSERT INTO configurations (family_id, model_id, code, pattern)
SELECT f.id, m.id, ARRAY[v.code], v.pattern FROM (VALUES
	('One', 'WA', 'A', '101'), ('One', 'WB', 'A', '101'), ('One', 'WC', 'B', '1-1'), ('One', 'WD', 'B', NULL),
	('Two', 'WA', 'A', '101'), ('Two', 'WB', 'A', '000'), ('Four', 'WA', 'A', '1010')) v (family, model, code, pattern)
JOIN families f ON f.family = v.family JOIN models m ON m.model = v.model
ORDER BY f.id, m.id;
UPDATE catalogue_state SET catalogue = catalogue + 1`

func TestSettingsNear(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	if lines, found := near(t, db, "101", 10); lines != "" || found.Compared != 0 {
		t.Errorf("an empty catalogue has %q", lines)
	}
	exec(t, db, manySettings)
	lines, found := near(t, db, "101", 10)
	want := "One A 101 x2 Ouse WA Ouse WB\nTwo A 101 x1 Ouse WA\nOne B 1-1 x1 Ouse WC\nTwo A 000 x1 Ouse WB\n"
	if diff := cmp.Diff(want, lines); diff != "" {
		t.Errorf("near 101 (-want +got):\n%s", diff)
	}
	if found.Exact != 3 || found.Compared != 4 {
		t.Errorf("exact %d, compared %d, want 3 and 4", found.Exact, found.Compared)
	}
	if lines, _ := near(t, db, "1?1", 1); lines != "One A 101 x2 Ouse WA Ouse WB\n" {
		t.Errorf("the first near 1?1 is %q", lines)
	}
	exec(t, db, "DELETE FROM configurations WHERE pattern = '101'; UPDATE catalogue_state SET catalogue = catalogue + 1")
	if lines, found := near(t, db, "101", 1); lines != "One B 1-1 x1 Ouse WC\n" || found.Exact != 1 {
		t.Errorf("after a change the first is %q, exact %d", lines, found.Exact)
	}
	if _, err := db.SettingsNear(t.Context(), "???", 1); standin.CodeOf(err) != standin.CodeBadRequest {
		t.Errorf("nothing read: %v", err)
	}
}

// Of a setting with many configurations the first fifty are there, and how many
// there are is said.
func TestSettingsNearIsBounded(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	exec(t, db, `INSERT INTO families (family, selector, code_length, readback) VALUES ('One', '{A}', 1, '{P}');
		INSERT INTO models (brand, model) SELECT 'Ouse', 'W' || n FROM generate_series(1, 70) n;
		INSERT INTO configurations (family_id, model_id, code, pattern) SELECT f.id, m.id, '{A}', '1' FROM families f, models m`)
	if _, found := near(t, db, "1", 10); len(found.Settings) != 1 || found.Settings[0].Count != 70 || len(found.Settings[0].Configurations) != mostOfSetting {
		t.Errorf("found %+v", found)
	}
}
