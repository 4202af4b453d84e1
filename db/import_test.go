package db

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestImportKeepsEveryCell(t *testing.T) {
	t.Parallel()
	db := open(t)
	made := put(t, db, whole)
	if diff := cmp.Diff(sorted(whole), contents(t, db)); diff != "" {
		t.Errorf("stored (+) differs from imported (-):\n%s", diff)
	}
	want := standin.Import{ID: 1, By: "tester", Bundle: "test", CatalogueVersion: 1, Added: 42}
	if diff := cmp.Diff(want, made, ignoreTime); diff != "" {
		t.Errorf("the import:\n%s", diff)
	}
}

func TestImportTwiceChangesNothing(t *testing.T) {
	t.Parallel()
	db := open(t)
	put(t, db, whole)
	before := stateOf(t, db)
	made := put(t, db, whole)
	if made.ID != 0 || made.Added+made.Changed+made.Removed != 0 {
		t.Errorf("the second import is %+v", made)
	}
	if after := stateOf(t, db); after != before {
		t.Errorf("the state went from %+v to %+v", before, after)
	}
}

var ignoreTime = cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "At" }, cmp.Ignore())

func stateOf(t testing.TB, db *DB) standin.State {
	t.Helper()
	s, err := db.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s
}
