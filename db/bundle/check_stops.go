package bundle

import (
	"fmt"

	"standin"
)

// liftsStop is the condition that a row d of delta_revisions takes back a supply stop,
// or is removed with it. Another reason does not: the revision stays stopped.
const liftsStop = "(d.op <> 'added' AND (d.old).stop IS NOT NULL AND (d.op = 'removed' OR d.stop IS NULL))"

// checkLiftedStops finds the supply stops that are lifted. A removed row stands nowhere
// in the bundle: the finding is about the file for which it is removed. An undo may
// remove what its import added: what is not in the catalogue is not supplied either.
func (t *importTx) checkLiftedStops() check {
	which, lifts := liftsStop, "this would lift the stop: write the reason in the column stop, or consent with --lift-stops"
	if t.undoes != 0 {
		which, lifts = which+" AND d.op <> 'removed'", "undoing it would lift the stop: consent with --lift-stops"
	}
	return check{sql: `SELECT place, ARRAY[op, part_number, revision, (d.old).stop] AS cells FROM delta_revisions d WHERE ` + which,
		say: func(in *inspection, cells []string) standin.Finding {
			does := lifts
			if cells[0] == "removed" {
				does = "this would remove the revision with its stop: keep its row, or consent with --lift-stops"
			}
			return standin.Finding{Code: standin.LiftedStop, File: in.named("revisions", "boards"), Column: "stop", Value: cells[3],
				Message: fmt.Sprintf("board %s revision %s must not be supplied (recorded: %s); %s", cells[1], cells[2], cells[3], does)}
		},
	}
}

// named returns how the bundle names the first of some of its files that it has.
func (in *inspection) named(files ...string) string {
	for _, name := range files {
		for _, f := range in.files {
			if f.Name == name {
				return f.name
			}
		}
	}
	return ""
}
