package db

import (
	"testing"

	"standin"
)

// A failover may lose the newest version of the catalogue. The next one has its
// number, and nothing that is held of the lost one stands for it.
func TestVersionThatWasLost(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	exec(t, db, "UPDATE catalogue_state SET catalogue = 13, stock = 4")
	lost := told(t, db)
	if lost != told(t, db) {
		t.Fatal("what is told changes by itself")
	}
	exec(t, db, `UPDATE catalogue_state SET catalogue = 12, stock = 3;
		UPDATE boards SET title = 'another'; UPDATE families SET note = 'another'; UPDATE configurations SET pattern = translate(pattern, '01', '10');
		UPDATE catalogue_state SET catalogue = 13, stock = 4`)
	db.Changed()
	now := told(t, db)
	if now.state.Catalogue != lost.state.Catalogue || now.state.Stock != lost.state.Stock || now.state == lost.state {
		t.Errorf("the state is %+v, and was %+v", now.state, lost.state)
	}
	if now.title != "another" || now.note != "another" || now.near == lost.near {
		t.Errorf("the lost version is told: %+v, and was %+v", now, lost)
	}
}

// toldOf is one thing of each kind that is held in memory.
type toldOf struct {
	state             standin.State
	title, note, near string
}

func told(t *testing.T, db *DB) (is toldOf) {
	t.Helper()
	d := dossiers(t, db, machine("Ondara", "WD 300", ""))[0]
	f, err := db.PreparedFamily(t.Context(), "Lumen")
	if err != nil {
		t.Fatal(err)
	}
	near, err := db.SettingsNear(t.Context(), standin.Reading("0100"), 1)
	if err != nil {
		t.Fatal(err)
	}
	return toldOf{d.State, d.Boards[0].Title, f.Note, string(near.Settings[0].Pattern)}
}
