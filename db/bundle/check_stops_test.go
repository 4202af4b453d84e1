package bundle

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// A supply stop is lifted with consent alone, whatever would lift it.
func TestLiftedStops(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	const keep = "; this would lift the stop: write the reason in the column stop, or consent with --lift-stops\n"
	const stays = "; this would remove the revision with its stop: keep its row, or consent with --lift-stops\n"
	for _, c := range []struct {
		name, bundle string
		replace      []string
		want         string // without consent
		lifted       int    // with it
	}{
		{"an empty cell", "-- revisions.csv --\npart_number,revision,stop\nPN-100,A,\n", nil,
			"revisions.csv:2: lifted-stop stop=\"recalled\": board PN-100 revision A must not be supplied (recorded: recalled)" + keep, 1},
		{"another reason", "-- revisions.csv --\npart_number,revision,stop\nPN-100,A,burns\n", nil, "", 0},
		{"no column", "-- revisions.csv --\npart_number,revision,issue\nPN-100,A,7\n", nil, "", 0},
		{"a removed revision", "-- revisions.csv --\npart_number,revision\nPN-200,A\n", []string{"rotary"},
			"revisions.csv:0: lifted-stop stop=\"recalled\": board PN-100 revision A must not be supplied (recorded: recalled)" + stays, 1},
		{"a removed board", "-- boards.csv --\npart_number,family\nPN-200,rotary\n", []string{"rotary"},
			"boards.csv:0: lifted-stop stop=\"recalled\": board PN-100 revision A must not be supplied (recorded: recalled)" + stays, 1},
		{"a family that keeps it", "-- revisions.csv --\npart_number,revision\nPN-100,A\n", []string{"rotary"}, "", 0},
	} {
		for _, consent := range []bool{false, true} {
			tx := must(db.OpenImport(t.Context(), standin.ImportRequest{Replace: c.replace, LiftStops: consent}))(t)
			stage(t, tx, c.bundle)
			want, lifted := c.want, 0
			if consent {
				want, lifted = "", c.lifted
			}
			got := ""
			for line := range strings.Lines(findings(t, tx)) {
				if strings.Contains(line, standin.LiftedStop) {
					got += line
				}
			}
			if got != want {
				t.Errorf("%s, consent %t: got\n%swant\n%s", c.name, consent, got, want)
			}
			diffs := must(tx.Diff(t.Context(), 10))(t)
			if all := standin.LiftedStops(diffs); consent && len(all) != lifted {
				t.Errorf("%s: %d stops are lifted in the diff, want %d", c.name, len(all), lifted)
			}
			if want != "" {
				if _, err := tx.Commit(t.Context()); standin.CodeOf(err) != standin.CodeRejected {
					t.Errorf("%s: committed without consent: %v", c.name, err)
				}
			}
			tx.Rollback()
		}
	}
}

// The changes that lift a stop come first, so that a bounded diff has them.
func TestDiffHasLiftedStopsFirst(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, "-- revisions.csv --\npart_number,revision,stop\nPN-200,B,burns\n")
	tx := must(db.OpenImport(t.Context(), standin.ImportRequest{LiftStops: true}))(t)
	defer tx.Rollback()
	stage(t, tx, "-- revisions.csv --\npart_number,revision,issue,stop\nPN-100,A,2,recalled\nPN-200,A,3,\nPN-200,B,2,\n")
	diffs := must(tx.Diff(t.Context(), 1))(t)
	want := []standin.Change{{Op: "changed", Key: key("PN-200", "B"), LiftsStop: true, Fields: []standin.FieldChange{{Column: "stop", Before: "burns"}}}}
	if diff := cmp.Diff(want, diffs[0].Changes); diff != "" || diffs[0].Changed != 3 {
		t.Errorf("%d changed; (-want +got):\n%s", diffs[0].Changed, diff)
	}
	if diff := cmp.Diff(want, standin.LiftedStops(diffs)); diff != "" {
		t.Errorf("lifted (-want +got):\n%s", diff)
	}
}

// To undo an import that set a stop lifts it, which takes consent; to undo one that
// added the revision takes none, because it is gone then.
func TestUndoOfAStop(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	first := put(t, db, whole)
	stopped := put(t, db, "-- revisions.csv --\npart_number,revision,stop\nPN-200,B,burns\n")
	_, err := db.Undo(t.Context(), stopped.ID, standin.UndoRequest{})
	const want = "import 2 cannot be undone: board PN-200 revision B must not be supplied (recorded: burns); undoing it would lift the stop: consent with --lift-stops"
	if standin.CodeOf(err) != standin.CodeConflict || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err = db.Undo(t.Context(), stopped.ID, standin.UndoRequest{LiftStops: true}); err != nil {
		t.Error(err)
	}
	if _, err = db.Undo(t.Context(), first.ID, standin.UndoRequest{}); err != nil {
		t.Error(err)
	}
}
