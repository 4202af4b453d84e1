package shop_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"standin"
	"standin/db"
)

// parts are a board of two revisions, one of none, and an adaptor.
const parts = `
INSERT INTO parts (part_number, kind) VALUES ('70-1001', 'board'), ('70-1002', 'board'), ('LM-1', 'adaptor');
INSERT INTO boards (part_id) SELECT id FROM parts WHERE kind = 'board';
INSERT INTO layouts (layout) VALUES ('old'), ('new');
INSERT INTO adaptors (part_id, takes_layout_id, gives_layout_id) SELECT p.id, o.id, n.id
	FROM parts p, layouts o, layouts n WHERE p.kind = 'adaptor' AND o.layout = 'old' AND n.layout = 'new';
INSERT INTO revisions (part_id, revision) SELECT id, label FROM parts, unnest(ARRAY['A', 'B']) AS label WHERE part_number = '70-1001'`

func line(location, part, revision string) standin.StockKey {
	return standin.StockKey{Location: location, PartNumber: part, Revision: revision, Condition: "new"}
}

var (
	front   = line("front", "70-1001", "A")
	back    = line("back", "70-1001", "A")
	unread  = line("front", "70-1001", "")
	adaptor = line("front", "LM-1", "")
)

func move(kind standin.MoveKind, key standin.StockKey, quantity int) standin.NewMove {
	return standin.NewMove{StockKey: key, Kind: kind, Quantity: quantity, By: "till", Reason: "why", Reference: "job 7"}
}

func moved(key standin.StockKey, to string, quantity int) standin.NewMove {
	m := move(standin.MoveMoved, key, quantity)
	m.To = to
	return m
}

// quantities are those of all lines.
func quantities(t testing.TB, database *db.DB) map[standin.StockKey]int {
	t.Helper()
	rows, err := database.Pool().Query(t.Context(), `SELECT location, part_number, revision, condition, quantity FROM bundle.stock`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	all := map[standin.StockKey]int{}
	for rows.Next() {
		var k standin.StockKey
		var n int
		if err := rows.Scan(&k.Location, &k.PartNumber, &k.Revision, &k.Condition, &n); err != nil {
			t.Fatal(err)
		}
		all[k] = n
	}
	return all
}

func TestMoves(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	for _, step := range []struct {
		move standin.NewMove
		want standin.Move // the numbers alone
		code standin.Code
	}{
		{move: move("received", front, 5), want: standin.Move{After: 5}},
		{move: move("received", front, 2), want: standin.Move{Before: 5, After: 7}},
		{move: move("sold", front, 8), code: standin.CodeNotFree},
		{move: move("sold", front, 7), want: standin.Move{Before: 7}},
		{move: move("counted", front, 4), want: standin.Move{After: 4}},
		{move: move("counted", front, 4), want: standin.Move{Before: 4, After: 4}},
		{move: moved(front, "back", 3), want: standin.Move{Before: 4, After: 1, ToAfter: 3}},
		{move: moved(back, "front", 1), want: standin.Move{Before: 3, After: 2, ToBefore: 1, ToAfter: 2}},
		{move: moved(back, "front", 3), code: standin.CodeNotFree},
		{move: move("received", unread, 1), want: standin.Move{After: 1}},
		{move: move("received", adaptor, 9), want: standin.Move{After: 9}},
		{move: move("sold", line("loft", "70-1001", "A"), 1), code: standin.CodeNotFree},
		{move: move("received", line("front", "70-9999", ""), 1), code: standin.CodeNotFound},
		{move: move("received", line("front", "70-1001", "C"), 1), code: standin.CodeNotFound},
		{move: move("sold", line("front", "70-9999", ""), 1), code: standin.CodeNotFound},
		{move: move("received", standin.StockKey{Location: "front", PartNumber: "70-1001", Condition: "old"}, 1), code: standin.CodeBadRequest},
		{move: move("sold", front, 0), code: standin.CodeBadRequest},
		{move: move("counted", front, -1), code: standin.CodeBadRequest},
		{move: move("lost", front, 1), code: standin.CodeBadRequest},
		{move: moved(front, "front", 1), code: standin.CodeBadRequest},
		{move: move("received", front, standin.MaxQuantity), code: standin.CodeRejected},
	} {
		before := quantities(t, database)
		got, err := store.MoveStock(t.Context(), step.move, standin.Once{})
		if standin.CodeOf(err) != step.code {
			t.Errorf("%+v: %v, want %q", step.move, err, step.code)
		}
		if err != nil {
			if diff := cmp.Diff(before, quantities(t, database)); diff != "" {
				t.Errorf("%+v: refused, and yet it changed (-before +after):\n%s", step.move, diff)
			}
			continue
		}
		step.want.NewMove = step.move
		if diff := cmp.Diff(step.want, got, cmpopts.IgnoreFields(standin.Move{}, "ID", "At")); diff != "" {
			t.Errorf("%+v (-want +got):\n%s", step.move, diff)
		}
	}
	want := map[standin.StockKey]int{front: 2, back: 2, unread: 1, adaptor: 9}
	if diff := cmp.Diff(want, quantities(t, database)); diff != "" {
		t.Errorf("stock (-want +got):\n%s", diff)
	}
	moves, err := store.ListMoves(t.Context(), standin.StockFilter{PartNumber: "70-1001", Location: "back"}, 0, 100)
	if err != nil || len(moves) != 2 || moves[0].To != "back" || moves[1].Reason != "why" || moves[1].Reference != "job 7" || time.Since(moves[1].At) > time.Hour {
		t.Errorf("moves from and to the back: %+v, %v", moves, err)
	}
	if all, _ := store.ListMoves(t.Context(), standin.StockFilter{}, moves[0].ID, 2); len(all) != 2 || all[0].ID <= moves[0].ID {
		t.Errorf("two moves after %d: %+v", moves[0].ID, all)
	}
}

func TestListStock(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	for _, k := range []standin.StockKey{front, back, unread, adaptor} {
		if _, err := store.MoveStock(t.Context(), move("received", k, 2), standin.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	ordered := []standin.StockKey{back, unread, front, adaptor}
	for _, c := range []struct {
		name   string
		filter standin.StockFilter
		after  standin.StockKey
		limit  int
		want   []standin.StockKey
	}{
		{"all", standin.StockFilter{}, standin.StockKey{}, 10, ordered},
		{"a page", standin.StockFilter{}, standin.StockKey{}, 2, ordered[:2]},
		{"the next", standin.StockFilter{}, unread, 2, ordered[2:]},
		{"a location", standin.StockFilter{Location: "front"}, standin.StockKey{}, 10, ordered[1:]},
		{"a part", standin.StockFilter{PartNumber: "70-1001"}, standin.StockKey{}, 10, ordered[:3]},
		{"a part at a location", standin.StockFilter{Location: "back", PartNumber: "LM-1"}, standin.StockKey{}, 10, nil},
	} {
		got, err := store.ListStock(t.Context(), c.filter, c.after, c.limit)
		var keys []standin.StockKey
		for _, r := range got {
			keys = append(keys, r.StockKey)
		}
		if diff := cmp.Diff(c.want, keys); diff != "" || err != nil {
			t.Errorf("%s: %v (-want +got):\n%s", c.name, err, diff)
		}
	}
	if all, _ := store.ListStock(t.Context(), standin.StockFilter{}, standin.StockKey{}, 10); all[3].Kind != "adaptor" || all[0].Kind != "board" {
		t.Errorf("kinds: %+v", all)
	}
}

// RFC 9110, 13.1.1 and 13.1.2.
func TestPutStock(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	put := func(p standin.StockPut, quantity int) (standin.StockRecord, bool, standin.Code) {
		p.StockKey, p.Quantity, p.By = front, quantity, "till"
		line, created, err := store.PutStock(t.Context(), p)
		return line, created, standin.CodeOf(err)
	}
	if _, _, code := put(standin.StockPut{Match: "1-0"}, 3); code != standin.CodePrecondition {
		t.Errorf("If-Match of a line that is not there: %q", code)
	}
	first, created, code := put(standin.StockPut{Absent: true}, 3)
	if !created || code != "" || first.Quantity != 3 || first.Free() != 3 {
		t.Errorf("made: %+v, %v, %q", first, created, code)
	}
	if _, _, code := put(standin.StockPut{Absent: true}, 4); code != standin.CodePrecondition {
		t.Errorf("If-None-Match of a line that is there: %q", code)
	}
	second, created, code := put(standin.StockPut{Match: first.Tag}, 4)
	if created || code != "" || second.Tag == first.Tag {
		t.Errorf("with its tag: %+v, %v, %q", second, created, code)
	}
	if _, _, code := put(standin.StockPut{Match: first.Tag}, 5); code != standin.CodePrecondition {
		t.Errorf("with a tag that it had: %q", code)
	}
	same, _, code := put(standin.StockPut{}, 4)
	if code != "" || same.Tag != second.Tag {
		t.Errorf("the same number again: %+v, %q", same, code)
	}
	if moves, _ := store.ListMoves(t.Context(), standin.StockFilter{}, 0, 10); len(moves) != 2 || moves[1].Kind != "counted" || moves[1].Before != 3 || moves[1].After != 4 {
		t.Errorf("kept: %+v", moves)
	}
	if _, err := store.StockOf(t.Context(), back); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("a line that is not there: %v", err)
	}
}

func TestPutLocation(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	exec(t, database, parts)
	for _, k := range []standin.StockKey{front, back, adaptor} {
		if _, err := store.MoveStock(t.Context(), move("received", k, 2), standin.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := store.Hold(t.Context(), hold(front, 2), standin.Once{}); err != nil {
		t.Fatal(err)
	}
	counts := []standin.Count{
		{PartNumber: "70-1001", Revision: "A", Condition: "new", Quantity: 1},
		{PartNumber: "70-1001", Condition: "new", Quantity: 3},
		{PartNumber: "70-9999", Condition: "new", Quantity: 1},
		{PartNumber: "70-1001", Revision: "Z", Condition: "new", Quantity: 1},
		{PartNumber: "70-1002", Condition: "used", Quantity: 0},
	}
	before := quantities(t, database)
	if _, err := store.PutLocation(t.Context(), standin.LocationPut{Location: "front", Counts: counts, By: "till"}); standin.CodeOf(err) != standin.CodeRejected {
		t.Errorf("parts that are not in the catalogue: %v", err)
	}
	if diff := cmp.Diff(before, quantities(t, database)); diff != "" {
		t.Errorf("refused, and yet it changed:\n%s", diff)
	}
	put := standin.LocationPut{Location: "front", Counts: counts, SkipUnknown: true, By: "till"}
	got, err := store.PutLocation(t.Context(), put)
	if err != nil {
		t.Fatal(err)
	}
	want := standin.LocationCounted{
		Added: 2, Changed: 2, Unknown: []standin.StockKey{line("front", "70-9999", ""), line("front", "70-1001", "Z")},
		Short: []standin.StockRecord{{StockKey: front, Kind: "board", Quantity: 1, Held: 2}},
	}
	if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(standin.StockRecord{}, "Tag")); diff != "" {
		t.Errorf("what came of it (-want +got):\n%s", diff)
	}
	used := standin.StockKey{Location: "front", PartNumber: "70-1002", Condition: "used"}
	all := map[standin.StockKey]int{front: 1, unread: 3, used: 0, adaptor: 0, back: 2}
	if diff := cmp.Diff(all, quantities(t, database)); diff != "" {
		t.Errorf("stock (-want +got):\n%s", diff)
	}
	again, err := store.PutLocation(t.Context(), put)
	if err != nil || again.Added+again.Changed != 0 || again.Unchanged != 4 {
		t.Errorf("again: %+v, %v", again, err)
	}
	put.Counts = append(counts, counts[0])
	if _, err := store.PutLocation(t.Context(), put); standin.CodeOf(err) != standin.CodeBadRequest {
		t.Errorf("a line twice: %v", err)
	}
}
