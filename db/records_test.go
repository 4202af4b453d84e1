package db

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestBoardOf(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	got, err := db.BoardOf(t.Context(), "lb100")
	if err != nil {
		t.Fatal(err)
	}
	if got.PartNumber != "LB-100" || got.Family != "Lumen" || len(got.Revisions) != 2 {
		t.Errorf("board %+v", got.Board)
	}
	if l := got.Revisions[1].Layout; l == nil || l.Name != "split board" || len(l.Connectors) != 3 {
		t.Errorf("layout %+v", l)
	}
	if len(got.Revisions[0].Ratings) != 3 || len(got.Stock) != 2 || len(got.Supersessions) != 0 {
		t.Errorf("ratings %v, stock %v, supersessions %v", got.Revisions[0].Ratings, got.Stock, got.Supersessions)
	}
	want := []standin.Marking{{Marking: "40 11-2", PartNumber: "LB-100", Revision: "B", Note: "on the solder side"}}
	if diff := cmp.Diff(want, got.Markings); diff != "" {
		t.Errorf("markings (-want +got):\n%s", diff)
	}

	chained, err := db.BoardOf(t.Context(), "DR-1")
	if err != nil {
		t.Fatal(err)
	}
	if len(chained.Supersessions) != 4 {
		t.Errorf("links reachable either way: %v, want all 4", chained.Supersessions)
	}
	for _, number := range []string{"AD-1", "no such", ""} {
		if _, err := db.BoardOf(t.Context(), number); standin.CodeOf(err) != standin.CodeNotFound {
			t.Errorf("board %q: %v, want not-found", number, err)
		}
	}
}

// The models of a board are those whose dossiers hold it.
func TestModelsOfBoard(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	exec(t, db, `
		INSERT INTO builds (model_id, build, made, part_id) VALUES (5, 'b', '(,)', 5), (6, 'b', '(,)', 6);
		INSERT INTO presets (part_id, model_id) VALUES (2, 2), (2, 3)`) // 3 is a twin
	models := map[int64]*standin.Dossier{}
	for _, id := range []int64{1, 2, 5, 6, 7} {
		d, err := db.DossierOf(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		models[id] = d
	}
	for _, number := range []string{"LB-100", "LB-200", "FX-0", "FX-1", "FX-2", "FX-3", "DR-1", "OTHER"} {
		var want []standin.ModelKey
		for _, d := range models {
			if slices.Contains(partNumbers(d.Boards), number) {
				want = append(want, d.Model.ModelKey)
			}
		}
		slices.SortFunc(want, func(a, b standin.ModelKey) int {
			return slices.Compare([]string{a.Brand, a.Model, a.Variant}, []string{b.Brand, b.Model, b.Variant})
		})
		if len(want) == 0 {
			t.Errorf("no model has %s: nothing is tried", number)
		}
		if diff := cmp.Diff(want, pages(t, db, number)); diff != "" {
			t.Errorf("models of %s (-with it in the dossier +got):\n%s", number, diff)
		}
	}
}

// pages are all models of a board, read one at a time.
func pages(t *testing.T, db *DB, number string) []standin.ModelKey {
	t.Helper()
	var all []standin.ModelKey
	var after standin.ModelKey
	for {
		page, err := db.ModelsOfBoard(t.Context(), number, after, 1)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) == 0 {
			return all
		}
		after = page[0]
		all = append(all, after)
	}
}

func TestFamilies(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	all, err := db.ListFamilies(t.Context(), "", 10)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].Name != "Drum" || all[1].Name != "Lumen" {
		t.Errorf("families %+v", all)
	}
	rest, err := db.ListFamilies(t.Context(), "Drum", 10)
	if err != nil || len(rest) != 1 || rest[0].Name != "Lumen" {
		t.Errorf("after Drum: %+v, %v", rest, err)
	}

	got, err := db.FamilyOf(t.Context(), "lumen")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(all[1], got.Family); diff != "" {
		t.Errorf("the family differs from that of the list:\n%s", diff)
	}
	if got.Steps == nil || len(got.Steps.Steps) != 3 || !slices.Equal(got.Boards, []string{"LB-100", "LB-200"}) {
		t.Errorf("steps %+v, boards %v", got.Steps, got.Boards)
	}
	if len(got.Configurations) != 3 || got.Configurations[2].Build != "b2" || got.Configurations[0].Model.Model != "WD 300" {
		t.Errorf("configurations %+v", got.Configurations)
	}
	if _, err := db.FamilyOf(t.Context(), "Nobody"); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("%v, want not-found", err)
	}
}
