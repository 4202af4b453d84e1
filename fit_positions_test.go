package standin_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// twoBoards is a model with a control and a display, both of a build "a".
func twoBoards() *standin.Dossier {
	d := simple()
	display := d.Builds[0]
	d.Builds[0].Label, display.Label = "a", "a"
	display.Position, display.PartNumber, display.Layout = "Display", "P2", layout("display harness", plug("CN1", 2))
	d.Builds = append(d.Builds, display)
	other := d.Boards[0]
	other.PartNumber, other.Family, other.Position = "P2", "", "Display"
	other.Revisions = []standin.Revision{revision("R1", 1)}
	other.Revisions[0].Layout = layout("display board", plug("J1", 2))
	d.Boards = append(d.Boards, other)
	return d
}

func TestPositions(t *testing.T) {
	t.Parallel()
	a := standin.Fit(twoBoards(), standin.Machine{})
	if diff := cmp.Diff([]string{"control", "display"}, a.Positions); diff != "" {
		t.Errorf("positions -, +\n%s", diff)
	}
	if len(a.Questions) == 0 || a.Questions[0].String() != "Which board is dead? (the control board: control a; the display board: display a)" {
		t.Errorf("asked %v", a.Questions)
	}
	for position, want := range map[string]string{"control": "P1", "DISPLAY": "P2"} {
		a := standin.Fit(twoBoards(), standin.Machine{Position: position})
		if len(a.Builds) != 1 || a.Candidates[0].PartNumber != want || a.Candidates[0].Verdict != standin.Fits || a.Standing() != 1 {
			t.Errorf("position %s: builds %s, candidates %+v; want only %s to fit", position, labels(a.Builds), a.Candidates, want)
		}
	}
	a = standin.Fit(twoBoards(), standin.Machine{Position: "motor"})
	if a.Contradiction == nil || !strings.Contains(a.Contradiction.Hint, "control and display") {
		t.Errorf("a position that the model does not have: %+v; want a contradiction that names those it has", a.Contradiction)
	}
}

// An old part that seats nowhere else is not needed: its family is enough.
func TestOldPartSettlesThePosition(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name string
		old  standin.OldPart
		link []standin.Supersession
		want string
	}{
		{"its family is that of the factory board", standin.OldPart{PartNumber: "P9", Family: "F"}, nil, "control a"},
		{"it is the factory board", standin.OldPart{PartNumber: "P2"}, nil, "display a"},
		{"its successor is the factory board", standin.OldPart{PartNumber: "P9"}, []standin.Supersession{{Old: "P9", New: "P2"}}, "display a"},
		{"it succeeds the factory board", standin.OldPart{PartNumber: "P9"}, []standin.Supersession{{Old: "P2", New: "P9"}}, "display a"},
		{"its own position", standin.OldPart{PartNumber: "P9", Position: "display"}, nil, "display a"},
		{"nothing that tells", standin.OldPart{PartNumber: "P9", Family: "G", Position: "motor"}, nil, "control a display a"},
	} {
		d := twoBoards()
		d.OldParts, d.Supersessions = []standin.OldPart{test.old}, test.link
		if got := labels(standin.Fit(d, standin.Machine{OldPart: test.old.PartNumber}).Builds); got != test.want {
			t.Errorf("%s: builds %s; want %s", test.name, got, test.want)
		}
	}
}

func TestHintOfAContradiction(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.OldParts = []standin.OldPart{{PartNumber: "RO-1", Family: "Rondeau", Kinds: []string{"dryer"}, Layout: layout("board", plug("J1", 4))}}
	a := standin.Fit(d, standin.Machine{OldPart: "RO-1"})
	if want := "RO-1 is a board of family Rondeau, for dryers"; a.Contradiction == nil || a.Contradiction.Hint != want {
		t.Errorf("%+v; want the hint %q", a.Contradiction, want)
	}
	d.OldParts = nil
	a = standin.Fit(d, standin.Machine{Plug: []int{6}, Made: made("2001")})
	if a.Contradiction == nil || !strings.Contains(a.Contradiction.Hint, `without "plugs of 6 ways" it is build b1`) {
		t.Errorf("%+v; want a hint at what is left without the plug", a.Contradiction)
	}
}

func TestMissingPlug(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ typed, want string }{
		{"no 10", "b2"}, {"no 6", "b1"}, {"6 no 10", "b2"}, {"no 10 6", ""}, {"10 no 10", ""}, {"no 3", "b1 b2"},
	} {
		have, lack, err := standin.ParsePlug(test.typed)
		if err != nil {
			t.Fatal(err)
		}
		if got := standin.PlugText(have, lack); got != test.typed {
			t.Errorf("%q is written %q", test.typed, got)
		}
		if got := labels(standin.Fit(cutIn(), standin.Machine{Plug: have, NoPlug: lack}).Builds); got != test.want {
			t.Errorf("%s: builds %q; want %q", test.typed, got, test.want)
		}
	}
	for _, typed := range []string{"no", "10 no", "no no", "none 10"} {
		if _, _, err := standin.ParsePlug(typed); err == nil {
			t.Errorf("%q is taken as evidence", typed)
		}
	}
}
