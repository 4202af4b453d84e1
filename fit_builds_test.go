package standin_test

import (
	"strings"
	"testing"

	"standin"

	"github.com/google/go-cmp/cmp"
)

func day(text string) standin.Maybe[standin.Date] {
	span, err := standin.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return span.From
}

func made(text string) standin.Made {
	m, err := standin.ParseMade(text)
	if err != nil {
		panic(err)
	}
	return m
}

// cutIn is a model whose one ten-way plug was split in 2003: b1 until May with
// thirty days of run-out, b2 from June on.
func cutIn() *standin.Dossier {
	d := simple()
	d.Builds = []standin.Build{
		{Label: "b1", Made: standin.Span{From: day("2001-03-01"), To: day("2003-05-31")}, RunOutDays: 30,
			SerialTo: "4999", PartNumber: "P1", Layout: layout("wide", plug("A", 10))},
		{Label: "b2", Made: standin.Span{From: day("2003-06-01")},
			SerialFrom: "5000", PartNumber: "P2", Layout: layout("split", plug("A", 6), plug("B", 2), plug("C", 2))},
	}
	return d
}

func TestBuildsLeft(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name    string
		machine standin.Machine
		want    string
	}{
		{"no evidence", standin.Machine{}, "b1 b2"},
		{"made on the last day", standin.Machine{Made: made("2003-05-31")}, "b1"},
		{"made at the cut-in, in the run-out", standin.Machine{Made: made("2003-06-01")}, "b1 b2"},
		{"made on the last day of the run-out", standin.Machine{Made: made("2003-06-30")}, "b1 b2"},
		{"made a day after the run-out", standin.Machine{Made: made("2003-07-01")}, "b2"},
		{"made on the first day", standin.Machine{Made: made("2001-03-01")}, "b1"},
		{"made before the first day", standin.Machine{Made: made("2001-02-28")}, ""},
		{"made in an interval across the cut-in", standin.Machine{Made: made("2002/2004")}, "b1 b2"},
		{"an open end is unbounded", standin.Machine{Made: made("2050")}, "b2"},
		{"serial at its bound", standin.Machine{Serial: "4999"}, "b1"},
		{"serial beyond the bound", standin.Machine{Serial: "5000"}, "b2"},
		{"serials are numbers, not text", standin.Machine{Serial: "10000"}, "b2"},
		{"leading zeros do not count", standin.Machine{Serial: "0004999"}, "b1"},
		{"serial that cannot be compared", standin.Machine{Serial: "AB49991"}, "b1 b2"},
		{"text of equal length", standin.Machine{Serial: "48A9"}, "b1"},
		{"text of equal length between the bounds", standin.Machine{Serial: "4A99"}, ""},
		{"text of equal length beyond", standin.Machine{Serial: "5A00"}, "b2"},
		{"ten-way plug", standin.Machine{Plug: []int{10}}, "b1"},
		{"two-way plug", standin.Machine{Plug: []int{2}}, "b2"},
		{"two two-way plugs", standin.Machine{Plug: []int{2, 2}}, "b2"},
		{"three two-way plugs", standin.Machine{Plug: []int{2, 2, 2}}, ""},
		{"the split plug whole", standin.Machine{Plug: []int{2, 6, 2}}, "b2"},
		{"evidence together", standin.Machine{Made: made("2003-06-15"), Plug: []int{10}}, "b1"},
	} {
		a := standin.Fit(cutIn(), test.machine)
		if got := labels(a.Builds); got != test.want {
			t.Errorf("%s: builds %q; want %q", test.name, got, test.want)
		}
		if (a.Contradiction != nil) != (test.want == "") {
			t.Errorf("%s: contradiction %v", test.name, a.Contradiction)
		}
		if a.Contradiction != nil && len(a.Candidates) > 0 {
			t.Errorf("%s: a contradiction with %d boards", test.name, len(a.Candidates))
		}
	}
}

func TestWhatIsNotRecordedRulesOutNoBuild(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Builds[1].Layout.Connectors[0].Ways = standin.Maybe[int]{}
	for _, test := range []struct {
		plug []int
		want string
	}{
		{[]int{10}, "b1 b2"}, {[]int{10, 2, 2}, "b2"}, {[]int{10, 10}, ""}, {[]int{4}, "b2"},
	} {
		if got := labels(standin.Fit(d, standin.Machine{Plug: test.plug}).Builds); got != test.want {
			t.Errorf("plug %v where one of b2 has no ways recorded: %q; want %q", test.plug, got, test.want)
		}
	}
	d.Builds[1].Layout = nil
	if got := labels(standin.Fit(d, standin.Machine{Plug: []int{3}}).Builds); got != "b2" {
		t.Errorf("a build with no layout recorded: %q; want b2", got)
	}
	d.Builds[1].SerialFrom = ""
	if got := labels(standin.Fit(d, standin.Machine{Serial: "1"}).Builds); got != "b1 b2" {
		t.Errorf("a build with no bounds: %q; want both", got)
	}
}

func TestOldPart(t *testing.T) {
	t.Parallel()
	wide, split := layout("wide", plug("J1", 10)), layout("split", plug("J1", 6), plug("J2", 2), plug("J3", 2))
	unsure := layout("unsure", plug("J1", 10))
	unsure.Connectors[0].Key = standin.Maybe[string]{}
	for _, test := range []struct {
		name  string
		parts []standin.OldPart
		want  string
	}{
		{"seats on one", []standin.OldPart{{Layout: wide}}, "b1"},
		{"seats on the other", []standin.OldPart{{Layout: split}}, "b2"},
		{"one of two parts", []standin.OldPart{{Layout: wide}, {Layout: split}}, "b1 b2"},
		{"may seat", []standin.OldPart{{Layout: unsure}}, "b1"},
		{"not recorded", []standin.OldPart{{}}, "b1 b2"},
		{"seats on none", []standin.OldPart{{Layout: layout("other", plug("J1", 4))}}, ""},
	} {
		d := cutIn()
		d.OldParts = test.parts
		if got := labels(standin.Fit(d, standin.Machine{OldPart: "X"}).Builds); got != test.want {
			t.Errorf("%s: %q; want %q", test.name, got, test.want)
		}
	}
}

func TestNotUsed(t *testing.T) {
	t.Parallel()
	ruled := func(d *standin.Dossier) *standin.Dossier {
		d.Builds[0].SerialTo, d.Builds[1].SerialFrom = "", ""
		d.Model.SerialRule, _ = standin.NewSerialRule("year-week", `^(?P<y2>\d\d)(?P<w>\d\d)`, standin.Maybe[int]{})
		d.Model.Made = standin.Span{From: day("2001-03-01"), To: day("2006-12-31")}
		return d
	}
	unruled := ruled(cutIn())
	unruled.Model.SerialRule = nil
	for _, test := range []struct {
		name    string
		d       *standin.Dossier
		machine standin.Machine
		want    string
		builds  string
	}{
		{"serial read", ruled(cutIn()), standin.Machine{Serial: "0210"}, "", "b1"},
		{"serial in the run-out", ruled(cutIn()), standin.Machine{Serial: "0325"}, "", "b1 b2"},
		{"serial of another form", ruled(cutIn()), standin.Machine{Serial: "FD-1"}, "serial", "b1 b2"},
		{"serial of a week that is not", ruled(cutIn()), standin.Machine{Serial: "0260"}, "serial", "b1 b2"},
		{"serial outside production", ruled(cutIn()), standin.Machine{Serial: "0710"}, "serial", "b1 b2"},
		{"no rule", unruled, standin.Machine{Serial: "0210"}, "serial", "b1 b2"},
		{"serial no bound compares with", cutIn(), standin.Machine{Serial: "ABCDE"}, "serial", "b1 b2"},
		{"unknown part", cutIn(), standin.Machine{OldPart: "NIX"}, "old_part", "b1 b2"},
	} {
		a := standin.Fit(test.d, test.machine)
		var kinds []string
		for _, n := range a.NotUsed {
			kinds = append(kinds, n.Evidence)
		}
		if got := strings.Join(kinds, " "); got != test.want || labels(a.Builds) != test.builds {
			t.Errorf("%s: not used %q, builds %q; want %q, %q", test.name, got, labels(a.Builds), test.want, test.builds)
		}
	}
}

func TestContradictionNamesTheFewestPieces(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name    string
		machine standin.Machine
		want    []string
	}{
		{"one alone", standin.Machine{Made: made("1999"), Plug: []int{10}}, []string{"made"}},
		{"two of three", standin.Machine{Made: made("2002"), Serial: "4000", Plug: []int{6}}, []string{"made", "plug"}},
		{"the first pair of several", standin.Machine{Made: made("2002"), Serial: "6000", Plug: []int{10}}, []string{"made", "serial"}},
	} {
		c := standin.Fit(cutIn(), test.machine).Contradiction
		if c == nil {
			t.Errorf("%s: no contradiction", test.name)
			continue
		}
		if diff := cmp.Diff(test.want, c.Evidence); diff != "" {
			t.Errorf("%s: %s", test.name, diff)
		}
	}
}

func TestModelWithoutBuilds(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Builds = nil
	a := standin.Fit(d, standin.Machine{Made: made("1950"), Plug: []int{99}})
	if len(a.Builds) != 1 || a.Builds[0].Label != "" || a.Contradiction != nil {
		t.Fatalf("builds %v, contradiction %v; want the one implied build", a.Builds, a.Contradiction)
	}
	if v := a.Candidates[0].Verdict; v != standin.Check {
		t.Errorf("verdict %v; want check: nothing is recorded of the build", v)
	}
}
