package db

import (
	"reflect"
	"slices"
	"testing"

	"standin"
)

// What is held of the stock of adaptors is never that of another state: not after a
// change, not for a model whose adaptors nobody asked for before, not while a hold runs.
func TestStockOfAdaptors(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	exec(t, db, `
		INSERT INTO models (id, brand, model) OVERRIDING SYSTEM VALUE VALUES (1, 'Ondara', 'A'), (2, 'Ondara', 'B');
		INSERT INTO layouts (id, layout) OVERRIDING SYSTEM VALUE SELECT n, n || ' ways' FROM generate_series(1, 9) n;
		INSERT INTO connectors (layout_id, connector, ways) SELECT n, 'P', n FROM generate_series(1, 9) n;
		INSERT INTO builds (model_id, build, made, layout_id) VALUES (1, 'b', '(,)', 1), (2, 'b', '(,)', 2);
		INSERT INTO parts (id, part_number, kind) OVERRIDING SYSTEM VALUE SELECT n, 'AD-' || n, 'adaptor' FROM generate_series(1, 2) n;
		INSERT INTO adaptors (part_id, takes_layout_id, gives_layout_id) VALUES (1, 1, 3), (2, 2, 4);
		INSERT INTO stock (location, part_id, condition, quantity) VALUES ('front', 1, 'new', 1), ('front', 2, 'new', 2)`)
	free := func(model string) (pieces []int) {
		for _, s := range dossiers(t, db, machine("Ondara", model, ""))[0].Stock {
			pieces = append(pieces, s.Free)
		}
		return pieces
	}
	state := func() standin.State {
		t.Helper()
		s, err := db.State(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	expect := func(what, model string, want ...int) {
		t.Helper()
		for _, again := range []string{"", " asked again"} {
			if got := free(model); !slices.Equal(got, want) {
				t.Errorf("%s, model %s%s: %v pieces, want %v", what, model, again, got, want)
			}
		}
	}
	expect("at first", "A", 1)
	expect("at first", "B", 2)
	exec(t, db, `UPDATE stock SET quantity = 5; UPDATE catalogue_state SET stock = stock + 1`)
	expect("after a change", "A", 5)
	db.Changed()
	state()
	exec(t, db, `UPDATE stock SET quantity = 6; UPDATE catalogue_state SET stock = stock + 1`)
	db.Changed()
	state()
	expect("after one that is known of", "B", 6)
	expect("after one that is known of", "A", 6)
	if held := db.adaptorStock.at(state()); len(held) != 2 {
		t.Errorf("held: %v", held)
	}
	exec(t, db, `INSERT INTO holds (part_number, location, revision, condition, quantity, state, until, by, created)
			VALUES ('AD-1', 'front', '', 'new', 2, 'held', now() + '1 hour', '', now());
		UPDATE catalogue_state SET stock = stock + 1`)
	expect("with a hold", "A", 4)
	exec(t, db, `UPDATE holds SET until = now() - interval '1 second'`) // nothing tells of it
	expect("when it has run out", "A", 6)
	exec(t, db, `DELETE FROM stock; UPDATE catalogue_state SET stock = stock + 1`)
	expect("without a line", "A")
}

// A dossier is the same whether the stock of its adaptors was held or is read.
func TestHeldAndReadAreTheSame(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	m := machine("Ondara", "WD 300", "")
	dossiers(t, db, m)
	held := dossiers(t, db, m)[0]
	db.adaptorStock.held.Store(nil)
	read := dossiers(t, db, m)[0]
	if len(read.Adaptors) == 0 || len(read.Stock) == 0 {
		t.Fatal("it has no adaptors or no stock, so this would prove nothing")
	}
	if !reflect.DeepEqual(held.Stock, read.Stock) {
		t.Errorf("held: %v\nread: %v", held.Stock, read.Stock)
	}
}
