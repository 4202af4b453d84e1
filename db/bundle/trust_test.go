package bundle

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// Whatever is imported, replaced and undone, the trust that is kept is that worked
// out anew from the whole family.
func TestTrustIsKept(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	compared := 0
	for seed := range uint64(5) {
		d := draw{rand.New(rand.NewPCG(seed, 7))}
		one := put(t, db, drawSettings(d))
		compared += trustIsRight(t, db, seed, "imported")
		tx := openTx(t, db, "f0", "f1")
		stage(t, tx, drawSettings(d))
		if findings(t, tx) == "" {
			made, err := tx.Commit(t.Context())
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			compared += trustIsRight(t, db, seed, "replaced")
			if made.ID != 0 {
				undo(t, db, made.ID)
			}
		} else if err := tx.Rollback(); err != nil {
			t.Fatal(err)
		}
		compared += trustIsRight(t, db, seed, "restored")
		undo(t, db, one.ID)
	}
	if compared < 200 {
		t.Errorf("only %d configurations with a pattern were compared", compared)
	}
	var left int
	if err := db.pool.QueryRow(t.Context(), "SELECT (SELECT count(*) FROM settings) + (SELECT count(*) FROM trusted_families)").Scan(&left); err != nil || left != 0 {
		t.Errorf("%d rows are left when all is undone, %v", left, err)
	}
}

// drawSettings draws a bundle of two or three families with few codes and points, so
// that many models have one setting and many settings are as near as each other.
func drawSettings(d draw) string {
	var b strings.Builder
	families := sheet{name: "families", keys: 1}
	models := sheet{name: "models", keys: 3}
	configurations := sheet{name: "configurations", keys: 6}
	names := append([]string{"f0", "f1"}, d.names("g", 0, 1)...)
	type points struct{ alphabet, first, middle string }
	shows := map[string]points{}
	for _, f := range names {
		drawn := []points{{"", "10f-", "10"}, {"digit", "107-", "10"}, {"lamp red-green lamp", "10f-", "0rg"}}[d.IntN(3)]
		families.add(f, "", "", "", "A B C", "2", "P Q R", drawn.alphabet, "", "", "")
		shows[f] = drawn
	}
	one := func(of string) string { return d.pick(strings.Split(of, "")...) }
	symbol := func() string { return d.pick("A", "B", "C") }
	for _, m := range d.names("m", 4, 30) {
		models.add("Aldor", m, "", "", "", "", "", "", "", "")
		for _, f := range names {
			for issue := range d.IntN(3) {
				pattern := d.pick("", one(shows[f].first)+one(shows[f].middle)+one("10-"))
				configurations.add(f, "Aldor", m, "", "", fmt.Sprint(issue+1), fmt.Sprint(issue+1), symbol()+" "+symbol(), pattern, "")
			}
		}
	}
	for _, s := range []*sheet{&families, &models, &configurations} {
		s.write(&b)
	}
	return b.String()
}

// trustIsRight compares what is kept for every configuration with what its family
// says, and is how many were compared.
func trustIsRight(t *testing.T, db *database, seed uint64, when string) (compared int) {
	t.Helper()
	tables := map[string]*standin.Table{}
	for _, d := range everyDossier(t, db) {
		for _, c := range d.Configurations {
			if c.Pattern == "" {
				continue
			}
			if tables[c.Family] == nil {
				f, err := db.FamilyOf(t.Context(), c.Family)
				if err != nil {
					t.Fatal(err)
				}
				tables[c.Family] = standin.NewTable(&f.Family, f.Configurations)
			}
			want := tables[c.Family].Trust(c.Code, c.Pattern)
			if c.Trust == nil {
				t.Errorf("seed %d, %s: the trust of %s in %s is not kept", seed, when, c.Pattern, c.Family)
			} else if diff := cmp.Diff(want, *c.Trust); diff != "" {
				t.Errorf("seed %d, %s: the trust of %s in %s as kept (+) differs from what it is (-):\n%s", seed, when, c.Pattern, c.Family, diff)
			}
			compared++
		}
	}
	return compared
}

func everyDossier(t *testing.T, db *database) []*standin.Dossier {
	t.Helper()
	var machines []standin.Machine
	rows, err := db.pool.Query(t.Context(), "SELECT brand, model, variant FROM models")
	if err != nil {
		t.Fatal(err)
	}
	for rows.Next() {
		var m standin.Machine
		if err := rows.Scan(&m.Brand, &m.Model, &m.Variant); err != nil {
			t.Fatal(err)
		}
		machines = append(machines, m)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	if len(machines) == 0 {
		return nil
	}
	dossiers, err := db.Dossiers(t.Context(), machines)
	if err != nil {
		t.Fatal(err)
	}
	return dossiers
}

// What was changed by other means than an import does not leave a trust that no
// longer holds; it is worked out again when asked for.
func TestTrustIsForgotten(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]string{
		"a configuration is changed": "UPDATE configurations SET pattern = '110'",
		"a configuration is removed": "DELETE FROM configurations WHERE issue_from IS NOT NULL",
		"a point shows otherwise":    "UPDATE families SET alphabet = '{lamp,lamp,digit}' WHERE alphabet IS NULL",
		"a family reads anew":        "UPDATE families SET readback = '{Q,P,R}'",
		"a model is called anew":     "UPDATE models SET model = 'n' || model",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			db := openEmpty(t)
			put(t, db, drawSettings(draw{rand.New(rand.NewPCG(3, 7))}))
			if trustIsRight(t, db, 0, "before") == 0 {
				t.Fatal("there is no configuration with a pattern")
			}
			if _, err := db.pool.Exec(t.Context(), change+"; UPDATE catalogue_state SET catalogue = catalogue + 1"); err != nil {
				t.Fatal(err)
			}
			for _, d := range everyDossier(t, db) {
				for _, c := range d.Configurations {
					if c.Trust != nil {
						t.Errorf("the trust of %s is still kept", c.Pattern)
					}
				}
			}
			if err := db.WorkOutTrust(t.Context()); err != nil {
				t.Fatal(err)
			}
			trustIsRight(t, db, 0, "after")
		})
	}
}
