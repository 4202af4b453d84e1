package db

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// Which model a key means, and which it is a twin of in the end.
func TestDossierIsOfTheModelMeant(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	wd300 := standin.ModelKey{Brand: "Ondara", Model: "WD 300"}
	tests := []struct {
		name         string
		asked        standin.Machine
		badge, model standin.ModelKey // zero: no dossier
	}{
		{"exactly", machine("Ondara", "WD 300", ""), wd300, wd300},
		{"case, spaces and punctuation", machine("ONDARA", "wd-300", ""), wd300, wd300},
		{"with its variant", machine("ondara", "wd300", "b2"), standin.ModelKey{Brand: "Ondara", Model: "WD 300", Variant: "B/2"}, standin.ModelKey{Brand: "Ondara", Model: "WD 300", Variant: "B/2"}},
		{"exactly, where another looks like it", machine("Ondara", "WD 88", ""), standin.ModelKey{Brand: "Ondara", Model: "WD 88"}, standin.ModelKey{Brand: "Ondara", Model: "WD 88"}},
		{"two are meant", machine("Ondara", "WD88", ""), standin.ModelKey{}, standin.ModelKey{}},
		{"the only variant is not taken silently", machine("Ondara", "TD 5", ""), standin.ModelKey{}, standin.ModelKey{}},
		{"letters do not move from model to variant", machine("Ondara", "WD 300B", "2"), standin.ModelKey{}, standin.ModelKey{}},
		{"misread characters are not taken silently", machine("0ndara", "WD 3OO", ""), standin.ModelKey{}, standin.ModelKey{}},
		{"another brand", machine("Velisk", "WD 300", ""), standin.ModelKey{}, standin.ModelKey{}},
		{"nothing", machine("", "", ""), standin.ModelKey{}, standin.ModelKey{}},
		{"a twin", machine("Velisk", "V9", ""), standin.ModelKey{Brand: "Velisk", Model: "V-9"}, wd300},
		{"a twin of a twin", machine("Kessen", "K1", ""), standin.ModelKey{Brand: "Kessen", Model: "K1"}, wd300},
	}
	var machines []standin.Machine
	for _, tt := range tests {
		machines = append(machines, tt.asked)
	}
	together := dossiers(t, db, machines...)
	for i, tt := range tests {
		for which, d := range map[string]*standin.Dossier{"together": together[i], "alone": dossiers(t, db, tt.asked)[0]} {
			if d == nil {
				if tt.model != (standin.ModelKey{}) {
					t.Errorf("%s, asked %s: no dossier, want %s", tt.name, which, tt.model)
				}
				continue
			}
			if d.Asked != tt.badge || d.Model.ModelKey != tt.model {
				t.Errorf("%s, asked %s: badge %v and model %v, want %v and %v", tt.name, which, d.Asked, d.Model.ModelKey, tt.badge, tt.model)
			}
		}
	}
}

// What is loaded together for several machines is each machine's own.
func TestDossiersTogetherAreThoseAlone(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	// A part before the factory board of the first machine, which it must not reach.
	exec(t, db, `INSERT INTO builds (model_id, build, made, part_id) VALUES (6, 'b', '(,)', 6)`)
	first, second, twin := machine("Ondara", "WD 300", ""), machine("Ondara", "TD 5", "C"), machine("Velisk", "V-9", "")
	first.OldPart, second.OldPart = "FX-1", "X"
	bare := machine("Ondara", "WD 300", "B/2")
	all := []standin.Machine{first, second, machine("No", "Body", ""), twin, bare, machine("Ondara", "WD 88", "")}
	together := dossiers(t, db, all...)
	for i, m := range all {
		if diff := cmp.Diff(dossiers(t, db, m)[0], together[i], sameDossier); diff != "" {
			t.Errorf("%v: -alone +together:\n%s", m.ModelKey, diff)
		}
	}
	if got := partNumbers(together[1].Boards); !slices.Equal(got, []string{"DR-1", "OTHER"}) {
		t.Errorf("boards of the second machine: %v", got)
	}
	if len(together[4].Boards)+len(together[4].Builds) > 0 {
		t.Errorf("a model with nothing recorded has %d boards and %d builds", len(together[4].Boards), len(together[4].Builds))
	}
}

func partNumbers(boards []standin.Board) []string {
	var all []string
	for _, b := range boards {
		all = append(all, b.PartNumber)
	}
	return all
}

// What the number on the board that came out leads to.
func TestOldPart(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	type part struct{ PartNumber, Revision, Layout string }
	tests := []struct {
		number string
		want   []part
	}{
		{"LB-100", []part{{"LB-100", "A", "wide board"}, {"LB-100", "B", "split board"}}},
		{"lb 100", []part{{"LB-100", "A", "wide board"}, {"LB-100", "B", "split board"}}},
		{"FX-2", []part{{"FX-2", "", ""}}},
		{"40 11-2", []part{{"FX-2", "", ""}, {"LB-100", "B", "split board"}}},
		{"4011-2", []part{{"FX-2", "", ""}, {"LB-100", "B", "split board"}}},
		{"77", []part{{"FX-1", "1", "wide board"}}},
		{"AD-1", nil}, // an adaptor does not come out of a machine as its board
		{"LB-1OO", nil},
		{"-", nil},
		{"", nil},
	}
	var machines []standin.Machine
	for _, tt := range tests {
		m := machine("Ondara", "WD 300", "")
		m.OldPart = tt.number
		machines = append(machines, m)
	}
	for i, d := range dossiers(t, db, machines...) {
		var got []part
		for _, p := range d.OldParts {
			name := ""
			if p.Layout != nil {
				name = p.Layout.Name
			}
			got = append(got, part{p.PartNumber, p.Revision, name})
		}
		if diff := cmp.Diff(tests[i].want, got); diff != "" {
			t.Errorf("old part %q (-want +got):\n%s", tests[i].number, diff)
		}
	}
}

func TestDossierOf(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	d, err := db.DossierOf(t.Context(), 4)
	if err != nil {
		t.Fatal(err)
	}
	if d.Asked.Brand != "Kessen" || d.Model.Brand != "Ondara" {
		t.Errorf("asked %v, model %v; want the badge Kessen and the model of Ondara", d.Asked, d.Model.ModelKey)
	}
	for _, id := range []int64{999, 0, -1} {
		if d, err := db.DossierOf(t.Context(), id); standin.CodeOf(err) != standin.CodeNotFound {
			t.Errorf("id %d: %v, %v; want not-found", id, d, err)
		}
	}
}
