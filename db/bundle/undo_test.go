package bundle

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestUndoOfTheFirstImport(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	made := put(t, db, whole)
	undone := undo(t, db, made.ID)
	if diff := cmp.Diff(sorted(t, ""), contents(t, db)); diff != "" {
		t.Errorf("something is left:\n%s", diff)
	}
	want := standin.Import{ID: 2, By: "undoer", Bundle: "undo of import 1", CatalogueVersion: 2, Removed: made.Added, Undoes: 1}
	if diff := cmp.Diff(want, undone, ignoreTime); diff != "" {
		t.Errorf("the undo:\n%s", diff)
	}
	first, err := db.ImportOf(t.Context(), made.ID)
	if err != nil || first.UndoneBy != undone.ID {
		t.Errorf("the undone import is %+v, %v", first, err)
	}
	var rows int
	err = db.pool.QueryRow(t.Context(), `SELECT (SELECT count(*) FROM parts) + (SELECT count(*) FROM models) +
		(SELECT count(*) FROM layouts) + (SELECT count(*) FROM procedures)`).Scan(&rows)
	if err != nil || rows != 0 {
		t.Errorf("%d rows stay behind, %v", rows, err)
	}
}

// changed is the whole bundle with something changed in every file that has
// something to change, rows added, and a family replaced.
var changed = strings.NewReplacer(
	"Service handbook", "Handbook", "all lit", "all dark", "2.5,\n", "3,\n", "Rotary controls", "Dials",
	"CN2,3,2.5", "CN2,3,5", "LOOM-1,Loom,harness-1,board-1", "LOOM-1,Loom,board-1,harness-1",
	"Fixed control", "Plain control", "A,1,board-1,2001-01-01", "A,3,harness-1,2002-01-01", "none,207,253", "steam,207,240",
	"on the bare board", "", "10.5", "16", "one-way,2004-01-01", "two-way,", "2000,", ",",
	"W200,x,washer", "W200,x,dryer", "K7,r,Aldor,W200,x", "K7,r,Aldor,W100,", "b1,2001-01-01,,30", "b1,2000-01-01,,",
	"b2,2003-06-01,2004-12-31", "b2,2002-01-01,", "heater,2000,,heating", "heater,1900,,heating",
	"1,A B C,10-,handbook", ",D D D,111,", "rotary,Aldor,W100,,,2,,A B D,1f0,\n", "",
	"PN-300,Aldor,W100,,\n", "PN-200,Aldor,W100,,\n", "new,3", "new,0",
).Replace(whole)

func TestUndoRestoresWhatWas(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	beforeSpans := spans(t, db)
	made := put(t, db, changed, "rotary")
	if made.Changed < 18 || made.Removed == 0 || made.Added == 0 {
		t.Fatalf("the import changes too little: %+v", made)
	}
	after, afterSpans := contents(t, db), spans(t, db)

	undone := undo(t, db, made.ID)
	if diff := cmp.Diff(sorted(t, whole), contents(t, db)); diff != "" {
		t.Errorf("restored (+) differs from what was (-):\n%s", diff)
	}
	if got := spans(t, db); got != beforeSpans {
		t.Errorf("the spans are %s, were %s", got, beforeSpans)
	}
	undo(t, db, undone.ID)
	if diff := cmp.Diff(after, contents(t, db)); diff != "" {
		t.Errorf("the undo undone (+) differs from what was (-):\n%s", diff)
	}
	if got := spans(t, db); got != afterSpans {
		t.Errorf("the spans are %s, were %s", got, afterSpans)
	}
}

func TestUndoRefuses(t *testing.T) {
	t.Parallel()
	const sources = "-- sources.csv --\nsource,title,issued,note\nhandbook,%,,\n"
	title := func(s string) string { return strings.Replace(sources, "%", s, 1) }
	tests := []struct {
		name    string
		imports []string
		undone  []int64
		id      int64
		code    standin.Code
		want    string
	}{
		{"an import that is not there", nil, nil, 7, standin.CodeNotFound, "there is no import 7"},
		{"an import that was undone", []string{whole, title("one")}, []int64{2}, 2, standin.CodeConflict,
			"import 2 was undone already, by import 3"},
		{"a row that a later import changed", []string{title("one"), title("two"), title("three")}, nil, 1, standin.CodeConflict,
			"import 1 cannot be undone: a row of sources (handbook) changed since, by imports 2 and 3"},
		{"a row that a later import changed and another did not", []string{title("one"), title("two"), title("three")}, []int64{3}, 1, standin.CodeConflict,
			"import 1 cannot be undone: a row of sources (handbook) changed since, by import 2"},
		{"a row that others hang on", []string{title("one"), strings.SplitAfter(whole, "-- models.csv")[0][strings.Index(whole, "-- procedures"):strings.Index(whole, "-- boards")],
			"-- adaptors.csv --\npart_number,title,takes,gives\nLOOM-2,Loom,harness-1,board-1\n"}, nil, 2, standin.CodeConflict,
			"import 2 cannot be undone: layout harness-1 would be gone, but the row LOOM-2 of adaptors in the catalogue needs it"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			db := openEmpty(t)
			for _, bundle := range test.imports {
				put(t, db, bundle)
			}
			for _, id := range test.undone {
				undo(t, db, id)
			}
			before := contents(t, db)
			_, err := db.Undo(t.Context(), test.id, standin.UndoRequest{By: "undoer"})
			if standin.CodeOf(err) != test.code || err.Error() != test.want {
				t.Errorf("got %q, want %q", err, test.want)
			}
			if diff := cmp.Diff(before, contents(t, db)); diff != "" {
				t.Errorf("a refused undo changes something:\n%s", diff)
			}
		})
	}
}

// What a later import changed and an undo put back does not stand in the way.
func TestUndoInReverse(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, changed, "rotary")
	undo(t, db, 2)
	undo(t, db, 1)
	if diff := cmp.Diff(sorted(t, ""), contents(t, db)); diff != "" {
		t.Errorf("something is left:\n%s", diff)
	}
}

func undo(t testing.TB, db *database, id int64) standin.Import {
	t.Helper()
	made, err := db.Undo(t.Context(), id, standin.UndoRequest{By: "undoer"})
	if err != nil {
		t.Fatal(err)
	}
	return made
}
