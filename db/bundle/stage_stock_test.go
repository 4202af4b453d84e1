package bundle

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// stockOf is the stock of a location, a line a text.
func stockOf(t testing.TB, db *database, location string) string {
	t.Helper()
	var b strings.Builder
	for line := range strings.Lines(contents(t, db)) {
		if strings.HasPrefix(line, location+",") {
			b.WriteString(line)
		}
	}
	return b.String()
}

// putRequest imports a bundle without faults as a request says.
func putRequest(t testing.TB, db *database, request standin.ImportRequest, bundle string) (standin.Import, []standin.FileDiff) {
	t.Helper()
	tx := must(db.OpenImport(t.Context(), request))(t)
	defer tx.Rollback()
	stage(t, tx, bundle)
	if found := findings(t, tx); found != "" {
		t.Fatalf("the bundle has faults:\n%s", found)
	}
	diffs := must(tx.Diff(t.Context(), 10))(t)
	return must(tx.Commit(t.Context()))(t), diffs
}

const counted = "-- stock.csv --\nlocation,part_number,revision,condition,quantity\nfront,PN-200,A,new,2\nfront,PN-300,,used,1\n"

// A location as a whole: what the bundle does not have becomes 0, and other locations
// stay. It is recorded as any change, so that it can be undone.
func TestReplaceStock(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, "-- stock.csv --\nlocation,part_number,revision,condition,quantity\nback,PN-200,A,new,5\n")
	before := contents(t, db)
	request := standin.ImportRequest{ReplaceStock: []string{"front"}}
	made, diffs := putRequest(t, db, request, counted)
	const want = "front,LOOM-1,,new,0\nfront,PN-200,,used,0\nfront,PN-200,A,new,2\nfront,PN-300,,used,1\n"
	if got := stockOf(t, db, "front"); got != want {
		t.Errorf("front has\n%swant\n%s", got, want)
	}
	if got := stockOf(t, db, "back"); got != "back,PN-200,A,new,5\n" {
		t.Errorf("back has\n%s", got)
	}
	if d := diffs[0]; d.Added != 1 || d.Changed != 2 || d.Removed != 0 || d.Unchanged != 0 || len(diffs) != 1 {
		t.Errorf("diff %+v", diffs)
	}
	if again, _ := putRequest(t, db, request, counted); again.ID != 0 {
		t.Errorf("imported again it changes something: %+v", again)
	}
	undo(t, db, made.ID)
	if diff := cmp.Diff(before, contents(t, db)); diff != "" {
		t.Errorf("undone (-want +got):\n%s", diff)
	}
}

// A location that nobody has is misspelt.
func TestReplaceStockOfNowhere(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	tx := must(db.OpenImport(t.Context(), standin.ImportRequest{ReplaceStock: []string{"front", "frnt"}}))(t)
	defer tx.Rollback()
	stage(t, tx, counted)
	_, _, err := tx.Check(t.Context(), 10)
	const want = `there is no stock at "frnt" to replace, neither in the catalogue nor in the bundle`
	if standin.CodeOf(err) != standin.CodeBadRequest || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// With a family that is replaced, lines of what it no longer has go with it; pieces on
// hold keep theirs, and with it the board.
func TestReplaceStockWithItsFamily(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, "-- boards.csv --\npart_number,family\nPN-400,rotary\n-- stock.csv --\nlocation,part_number,condition,quantity\nfront,PN-400,new,4\n")
	const bundle = "-- boards.csv --\npart_number,family\nPN-100,rotary\nPN-200,rotary\n" + counted
	request := standin.ImportRequest{Replace: []string{"rotary"}, ReplaceStock: []string{"front"}}
	if _, err := db.pool.Exec(t.Context(), `INSERT INTO holds (location, part_number, revision, condition, quantity, until, by, created, state)
		VALUES ('front', 'PN-400', '', 'new', 3, now() + interval '1 hour', '', now(), 'held')`); err != nil {
		t.Fatal(err)
	}
	tx := must(db.OpenImport(t.Context(), request))(t)
	stage(t, tx, strings.Replace(bundle, "-- stock", "-- revisions.csv --\npart_number,revision\nPN-100,A\nPN-200,A\nPN-200,B\n-- stock", 1))
	const want = "boards.csv:0: unknown-reference part_number=\"PN-400\": board or adaptor PN-400 would be gone, but the row front, PN-400, new of stock in the catalogue needs it\n"
	if got := findings(t, tx); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	warned := must2(tx.Warnings(t.Context(), 10))(t)
	short := `PN-400 of unknown revision, new, at front has 0 and 3 on hold; the holds stay, see whom they are for`
	if len(warned) != 1 || warned[0].Code != standin.ShortStock || warned[0].Message != short || warned[0].File != "stock.csv" {
		t.Errorf("warned %+v", warned)
	}
	tx.Rollback()
	if _, err := db.pool.Exec(t.Context(), "UPDATE holds SET state = 'released', ended = now()"); err != nil {
		t.Fatal(err)
	}
	_, diffs := putRequest(t, db, request, bundle)
	if got := stockOf(t, db, "front"); strings.Contains(got, "PN-400") || strings.Contains(contents(t, db), "PN-400") {
		t.Errorf("front has\n%s", got)
	}
	if d := diffs[len(diffs)-1]; d.Removed != 1 || d.Added != 1 || d.Changed != 2 {
		t.Errorf("diff %+v", d)
	}
}

func must2[T, N any](v T, _ N, err error) func(testing.TB) T { return must(v, err) }

// Lines of what is not in the catalogue are left out on request, each with a warning,
// and the rest comes in.
func TestSkipUnknownStock(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	const bundle = "-- boards.csv --\npart_number\nPN-500\n" + counted + "front,PN-999,,new,7\nfront,PN-500,,new,1\nfront,PN-200,Z,new,1\nfront,LOOM-9,,used,1\n"
	tx := openTx(t, db)
	stage(t, tx, bundle)
	var codes []string
	for _, f := range must2(tx.Check(t.Context(), 10))(t) {
		codes = append(codes, fmt.Sprintf("%s:%d %s %s", f.File, f.Line, f.Code, f.Value))
	}
	want := []string{"stock.csv:4 unknown-stock PN-999", "stock.csv:6 unknown-stock Z", "stock.csv:7 unknown-stock LOOM-9"}
	if diff := cmp.Diff(want, codes); diff != "" {
		t.Errorf("faults (-want +got):\n%s", diff)
	}
	tx.Rollback()
	request := standin.ImportRequest{SkipUnknownStock: true, ReplaceStock: []string{"front"}}
	tx = must(db.OpenImport(t.Context(), request))(t)
	defer tx.Rollback()
	stage(t, tx, bundle)
	if found := findings(t, tx); found != "" {
		t.Errorf("faults:\n%s", found)
	}
	var said []string
	for _, f := range must2(tx.Warnings(t.Context(), 10))(t) {
		if f.Code == standin.UnknownStock && f.Severity == standin.SeverityWarning {
			said = append(said, fmt.Sprintf("%s:%d %s", f.File, f.Line, f.Message))
		}
	}
	want = []string{"stock.csv:4 left out: PN-999 of unknown revision, new, at front is not in the catalogue (quantity 7)",
		"stock.csv:6 left out: PN-200 revision Z, new, at front is not in the catalogue (quantity 1)",
		"stock.csv:7 left out: LOOM-9 of unknown revision, used, at front is not in the catalogue (quantity 1)"}
	if diff := cmp.Diff(want, said); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}
	diffs := must(tx.Diff(t.Context(), 10))(t)
	if d := diffs[len(diffs)-1]; d.LeftOut != 3 || d.Added != 2 || d.Changed != 2 {
		t.Errorf("diff %+v", d)
	}
	if made := must(tx.Commit(t.Context()))(t); made.Added != 3 {
		t.Errorf("made %+v", made)
	}
	if got := stockOf(t, db, "front"); strings.Count(got, "\n") != 5 || strings.Contains(got, "PN-999") {
		t.Errorf("front has\n%s", got)
	}
	again, diffs := putRequest(t, db, request, bundle)
	if again.ID != 0 || diffs[len(diffs)-1].LeftOut != 3 {
		t.Errorf("imported again: %+v, %+v", again, diffs)
	}
}
