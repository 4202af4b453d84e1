package standin

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Adding a check leaves the others as they are, wherever it stands and whatever
// of a build it looks at.
func TestAddingACheckLeavesTheOthersAlone(t *testing.T) {
	t.Parallel()
	d := &Dossier{
		Model: Model{Volts: Known([]VoltRange{{Low: 230, High: 230}}), Hertz: Known([]float64{50})},
		Builds: []Build{
			{Label: "b1", Needs: Known([]string{"pump"})},
			{Label: "b2", Needs: Known([]string{"steam"})},
			{Label: "b3", Needs: Known([]string{"pump"})},
			{Label: "b4"},
		},
		Loads: []Load{{Circuit: "heater", Watts: Known(2300.0)}, {Build: "b3", Circuit: "heater", Watts: Known(4600.0)}},
	}
	board := &Board{PartNumber: "P1", Revisions: []Revision{{Label: "R1", Options: Known([]string{"pump"}), Ratings: map[string]Maybe[float64]{"heater": Known(16.0)}}}}
	want := newEvaluation(d, d.Builds, []string{"b1", "b2", "b3", "b4"}, []int{0, 1, 2, 3}).answers(board, &board.Revisions[0])
	for looksAt, said := range map[aspect][]string{
		modelAlone:   {"b1", "b1", "b1", "b1"},
		needsOfBuild: {"b1", "b2", "b1", "b4"},
		loadsOfBuild: {"b1", "b1", "b3", "b1"},
		wholeBuild:   {"b1", "b2", "b3", "b4"},
	} {
		for at := range len(checksOfFit) + 1 {
			e := newEvaluation(d, d.Builds, []string{"b1", "b2", "b3", "b4"}, []int{0, 1, 2, 3})
			e.checks = slices.Insert(slices.Clone(e.checks), at, check{"added", looksAt,
				func(_ *evaluation, t *trial) (Outcome, string) { return Pass, t.build.Label }})
			got := e.answers(board, &board.Revisions[0])
			for i := range got {
				if added := got[i].Checks[at]; added != (CheckResult{"added", Pass, said[i]}) {
					t.Errorf("aspect %d, place %d, build %s: %v, want that of %s", looksAt, at, got[i].Build, added, said[i])
				}
				got[i].Checks = slices.Delete(got[i].Checks, at, at+1)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("aspect %d, place %d: without it -, with it +\n%s", looksAt, at, diff)
			}
		}
	}
}
