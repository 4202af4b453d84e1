package standin_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// jobOf takes P1 of the answer for a dossier.
func jobOf(d *standin.Dossier, revision string) (*standin.Job, error) {
	a := standin.Fit(d, standin.Machine{})
	return a.Job("P1", revision)
}

func TestJob(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Configurations[0].Source = "bulletin 7"
	d.Builds[0].Source = "parts list"
	j, err := jobOf(d, "")
	if err != nil {
		t.Fatal(err)
	}
	if j.Work != standin.Configure || strings.Join(j.Code, "") != "AB" || j.Pattern != "10" || j.Procedure != d.Procedures["P"] {
		t.Errorf("the job is %+v", j)
	}
	if diff := cmp.Diff([]string{"bulletin 7", "parts list"}, j.Sources); diff != "" {
		t.Errorf("sources (-want +got):\n%s", diff)
	}
	if len(j.ToCheck) > 0 {
		t.Errorf("to check: %v, want nothing", j.ToCheck)
	}
}

// What is not known is to be checked, and said once with the builds it holds for.
func TestJobToCheck(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Model.Hertz = standin.Maybe[[]float64]{}
	second := d.Builds[0]
	second.Label, second.Layout = "b2", layout("other harness", plug("CN1", 3))
	d.Builds = append(d.Builds, second)
	j, err := jobOf(d, "R1")
	if err != nil {
		t.Fatal(err)
	}
	if len(j.ToCheck) != 1 || j.ToCheck[0].Check != standin.CheckSupply || strings.Join(j.ToCheck[0].Builds, " ") != "b1 b2" {
		t.Errorf("to check: %+v, want the supply for b1 and b2", j.ToCheck)
	}
	if len(j.Harnesses) != 2 {
		t.Errorf("%d harnesses, want 2", len(j.Harnesses))
	}
}

// There is no job with a board that does not fit, or may not.
func TestJobRefused(t *testing.T) {
	t.Parallel()
	twoBuilds := func(d *standin.Dossier) {
		d.Builds = append(d.Builds, standin.Build{Label: "b2", Layout: layout("wide", plug("CN1", 4)), Needs: d.Builds[0].Needs})
	}
	for name, test := range map[string]struct {
		change func(*standin.Dossier)
		code   standin.Code
		says   string
	}{
		"recalled": {func(d *standin.Dossier) { d.Boards[0].Revisions[0].Stop = "recalled" }, standin.CodeDoesNotFit, "recalled"},
		"depends":  {twoBuilds, standin.CodeUnsettled, "Is there a plug with 4 ways on the harness?"},
		"depends, and nothing tells the builds apart": {func(d *standin.Dossier) {
			d.Builds = append(d.Builds, standin.Build{Label: "b2", Layout: d.Builds[0].Layout, PartNumber: "P1", Needs: standin.Known([]string{"steam"})})
		}, standin.CodeUnsettled, "which of the builds b1 and b2 is it?"},
		"the work depends": {func(d *standin.Dossier) {
			twoBuilds(d)
			d.Builds[1].Layout = d.Builds[0].Layout
			d.Families["F"].CodeLength, d.Configurations[0].Code, d.Configurations[0].Pattern = 0, nil, ""
			d.Presets = []standin.Preset{{PartNumber: "P1", Build: "b2"}}
		}, standin.CodeUnsettled, "which of the builds"},
		"another board":       {func(d *standin.Dossier) { d.Boards[0].PartNumber = "P2" }, standin.CodeNotFound, "no board P1"},
		"several revisions":   {func(d *standin.Dossier) { d.Boards[0].Revisions = append(d.Boards[0].Revisions, revision("R2", 2)) }, standin.CodeBadRequest, "R2 and R1"},
		"nothing is recorded": {func(d *standin.Dossier) { d.Configurations = nil }, standin.CodeDoesNotFit, "no code is recorded"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d := simple()
			test.change(d)
			j, err := jobOf(d, "")
			if j != nil || standin.CodeOf(err) != test.code || !strings.Contains(err.Error(), test.says) {
				t.Errorf("job %v, error %v (%s), want %s with %q", j, err, standin.CodeOf(err), test.code, test.says)
			}
		})
	}
}

func TestJobOtherRevision(t *testing.T) {
	t.Parallel()
	if _, err := jobOf(simple(), "R9"); standin.CodeOf(err) != standin.CodeNotFound || !strings.Contains(err.Error(), "R1") {
		t.Errorf("error %v, want one that names R1", err)
	}
}

// Evidence that contradicts itself leads to no job.
func TestJobContradiction(t *testing.T) {
	t.Parallel()
	d := simple()
	a := standin.Fit(d, standin.Machine{Plug: []int{9}})
	if _, err := a.Job("P1", "R1"); standin.CodeOf(err) != standin.CodeUnsettled || !strings.Contains(err.Error(), a.Contradiction.Reason) {
		t.Errorf("error %v, want the contradiction", err)
	}
}

func TestLookalikes(t *testing.T) {
	t.Parallel()
	l := layout("harness", wired("CN1", "live", "neutral"), wired("CN2", "inlet", "inlet-n"), wired("CN3", "a", "b", "c"), wired("CN4", "live", "neutral"))
	var got []string
	for i := range l.Connectors {
		got = append(got, strings.Join(l.Lookalikes(i), " "))
	}
	if diff := cmp.Diff([]string{"CN2", "CN1 CN4", "", "CN2"}, got); diff != "" {
		t.Errorf("lookalikes (-want +got):\n%s", diff)
	}
}
