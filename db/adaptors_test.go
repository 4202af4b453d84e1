package db

import (
	"math/rand/v2"
	"slices"
	"testing"

	"standin"
)

// An adaptor is loaded where the plugs it takes may come from the harness or
// from adaptors before it, three in a row; one that needs four is not.
func TestAdaptorsInARow(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	exec(t, db, `
		INSERT INTO models (id, brand, model) OVERRIDING SYSTEM VALUE VALUES (1, 'Ondara', 'A'), (2, 'Ondara', 'B'), (3, 'Ondara', 'C');
		INSERT INTO layouts (id, layout) OVERRIDING SYSTEM VALUE SELECT n, n || ' ways' FROM generate_series(1, 9) n;
		INSERT INTO connectors (layout_id, connector, ways, key) SELECT n, 'P', n, 'k' FROM generate_series(1, 9) n WHERE n <> 7;
		INSERT INTO connectors (layout_id, connector) VALUES (7, 'P');
		INSERT INTO builds (model_id, build, made, layout_id) VALUES (1, 'b', '(,)', 1), (2, 'b', '(,)', 9);
		INSERT INTO parts (part_number, kind) SELECT 'AD-' || n, 'adaptor' FROM generate_series(1, 8) n;
		INSERT INTO adaptors (part_id, takes_layout_id, gives_layout_id)
		SELECT p.id, takes, gives FROM (VALUES (1, 1, 2), (2, 2, 3), (3, 3, 4), (4, 4, 5), (5, 8, 9), (6, 7, 6)) AS a (n, takes, gives)
		JOIN parts p ON part_number = 'AD-' || n`)
	tests := []struct {
		model string
		want  []string
	}{
		{"A", []string{"AD-1", "AD-2", "AD-3", "AD-6"}}, // AD-4 would be the fourth; AD-6 takes a plug of which nothing is recorded
		{"B", []string{"AD-6"}},
		{"C", nil}, // no harness recorded
	}
	var machines []standin.Machine
	for _, tt := range tests {
		machines = append(machines, machine("Ondara", tt.model, ""))
	}
	together := dossiers(t, db, machines...)
	for i, tt := range tests {
		for which, d := range map[string]*standin.Dossier{"together": together[i], "alone": dossiers(t, db, machines[i])[0]} {
			if got := adaptorNumbers(d.Adaptors); !slices.Equal(got, tt.want) {
				t.Errorf("model %s, asked %s: %v, want %v", tt.model, which, got, tt.want)
			}
		}
	}
}

func adaptorNumbers(adaptors []standin.Adaptor) []string {
	var all []string
	for _, a := range adaptors {
		all = append(all, a.PartNumber)
	}
	return all
}

// The narrowing in SQL loses no adaptor that the rule in the core would keep, on
// catalogues drawn at random with few different ways and keys, some not recorded.
func TestNarrowingLosesNoAdaptor(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	random := rand.New(rand.NewPCG(1, 2))
	ways := func() any {
		if n := random.IntN(9); n > 0 {
			return n
		}
		return nil
	}
	key := func() any {
		return []any{nil, nil, "A", "B"}[random.IntN(4)]
	}
	exec(t, db, `
		INSERT INTO layouts (id, layout) OVERRIDING SYSTEM VALUE SELECT n, 'l' || n FROM generate_series(1, 60) n;
		INSERT INTO models (id, brand, model) OVERRIDING SYSTEM VALUE SELECT n, 'Ondara', 'M' || n FROM generate_series(1, 20) n;
		INSERT INTO builds (model_id, build, made, layout_id) SELECT n, 'b', '(,)', n FROM generate_series(1, 20) n;
		INSERT INTO parts (id, part_number, kind) OVERRIDING SYSTEM VALUE SELECT n, 'AD-' || n, 'adaptor' FROM generate_series(1, 20) n;
		INSERT INTO adaptors (part_id, takes_layout_id, gives_layout_id) SELECT n, 20 + n, 40 + n FROM generate_series(1, 20) n`)
	for layout := 1; layout <= 60; layout++ {
		for connector := range 1 + random.IntN(2) {
			exec(t, db, `INSERT INTO connectors (layout_id, connector, ways, key) VALUES ($1, 'C' || $2::int, $3, $4)`, layout, connector, ways(), key())
		}
	}
	everything := allAdaptors(t, db)
	kept := 0
	for n := range 20 {
		d, err := db.DossierOf(t.Context(), int64(n+1))
		if err != nil {
			t.Fatal(err)
		}
		want := adaptorNumbers(standin.UsableAdaptors(everything, d.Builds))
		if got := adaptorNumbers(d.Adaptors); !slices.Equal(got, want) {
			t.Errorf("model %d: %v, want %v", n+1, got, want)
		}
		kept += len(want)
	}
	if kept == 0 || kept == 20*len(everything) {
		t.Errorf("%d adaptors were kept of %d for 20 models: nothing was tried", kept, len(everything))
	}
}

// allAdaptors are all there are, by way of a harness of which nothing is known.
func allAdaptors(t *testing.T, db *DB) []standin.Adaptor {
	t.Helper()
	exec(t, db, `
		INSERT INTO models (id, brand, model) OVERRIDING SYSTEM VALUE VALUES (99, 'Ondara', 'any');
		INSERT INTO layouts (id, layout) OVERRIDING SYSTEM VALUE VALUES (99, 'any');
		INSERT INTO connectors (layout_id, connector) VALUES (99, 'P');
		INSERT INTO builds (model_id, build, made, layout_id) VALUES (99, 'b', '(,)', 99)`)
	d, err := db.DossierOf(t.Context(), 99)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Adaptors) != 20 {
		t.Fatalf("a harness of which nothing is known may take %d adaptors, want all 20", len(d.Adaptors))
	}
	return d.Adaptors
}
