package bundle

import "testing"

// What an import and its undoing changed, the store that wrote it sees at once.
func TestOwnChangesAreSeenAtOnce(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	version := func() int64 {
		t.Helper()
		state, err := db.State(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return state.Catalogue
	}
	before := version()
	made := put(t, db, whole)
	if got := version(); got != made.CatalogueVersion || got == before {
		t.Errorf("version %d right after the import of version %d, %d before", got, made.CatalogueVersion, before)
	}
	undone := undo(t, db, made.ID)
	if got := version(); got != undone.CatalogueVersion {
		t.Errorf("version %d right after the import was undone in version %d", got, undone.CatalogueVersion)
	}
}
