package standin

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestGroups(t *testing.T) {
	t.Parallel()
	set := BuildAnswer{Verdict: Fits, Work: Configure, Family: "f", Code: []string{"A"}, Pattern: "1"}
	with := func(label string, change func(*BuildAnswer)) BuildAnswer {
		b := set
		b.Build = label
		change(&b)
		return b
	}
	same := func(*BuildAnswer) {}
	c := Candidate{Builds: []BuildAnswer{
		with("b1", same), with("b2", func(b *BuildAnswer) { b.Adaptors = []string{"loom"} }), with("b3", same),
		with("b4", func(b *BuildAnswer) { b.Verdict = Check }), with("b5", func(b *BuildAnswer) { b.Code = []string{"B"} }),
		with("b6", func(b *BuildAnswer) { b.Pattern = "0" }), with("b7", func(b *BuildAnswer) { b.Work = Fixed }),
		with("b8", func(b *BuildAnswer) { b.Procedure = "p" }), with("b9", func(b *BuildAnswer) { b.Source = "another" }),
	}}
	var got [][]string
	for _, g := range c.Groups() {
		var labels []string
		for _, b := range g {
			labels = append(labels, b.Build)
		}
		got = append(got, labels)
	}
	want := [][]string{{"b1", "b3", "b9"}, {"b2"}, {"b4"}, {"b5"}, {"b6"}, {"b7"}, {"b8"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("groups (-want +got):\n%s", diff)
	}
}

func TestReasons(t *testing.T) {
	t.Parallel()
	c := Candidate{Builds: []BuildAnswer{
		{Build: "b1", Checks: []CheckResult{{CheckStop, Pass, "no stop"}, {CheckSupply, Fail, "230 V"}, {CheckRatings, Fail, "11 A"}}},
		{Build: "b2", Checks: []CheckResult{{CheckStop, Pass, "no stop"}, {CheckSupply, Fail, "115 V"}, {CheckRatings, Fail, "11 A"}}},
	}}
	want := []Reason{{CheckSupply, "230 V", []string{"b1"}}, {CheckSupply, "115 V", []string{"b2"}}, {CheckRatings, "11 A", []string{"b1", "b2"}}}
	if diff := cmp.Diff(want, c.Reasons(Fail)); diff != "" {
		t.Errorf("reasons (-want +got):\n%s", diff)
	}
	if got := c.Reasons(Unknown); got != nil {
		t.Errorf("unknown: %v, want none", got)
	}
}

func TestStanding(t *testing.T) {
	t.Parallel()
	for want, verdicts := range [][]Verdict{{No}, {Fits, No, No}, {Fits, Depends}} {
		var a Answer
		for _, v := range verdicts {
			a.Candidates = append(a.Candidates, Candidate{Verdict: v})
		}
		if got := a.Standing(); got != want {
			t.Errorf("%v: %d stand, want %d", verdicts, got, want)
		}
	}
}

func TestSwappableHeaders(t *testing.T) {
	t.Parallel()
	pair := func(a, b string) [2]string { return [2]string{a, b} }
	c := Candidate{Builds: []BuildAnswer{
		{Build: "b1", Verdict: Fits, Swappable: [][2]string{pair("J1", "J2")}},
		{Build: "b2", Verdict: No, Swappable: [][2]string{pair("J8", "J9")}},
		{Build: "b3", Verdict: Check, Swappable: [][2]string{pair("J2", "J3"), pair("J1", "J2")}},
	}}
	want := []SwappableHeaders{
		{Headers: pair("J1", "J2"), Builds: []string{"b1", "b3"}},
		{Headers: pair("J2", "J3"), Builds: []string{"b3"}},
	}
	if diff := cmp.Diff(want, c.SwappableHeaders()); diff != "" {
		t.Errorf("pairs (-want +got):\n%s", diff)
	}
}

func TestSwappableCaution(t *testing.T) {
	t.Parallel()
	const rest = "take the same plug and do not carry the same circuits, as far as recorded: mark the plugs"
	for _, test := range []struct {
		pairs [][2]string
		want  string
	}{
		{nil, ""},
		{[][2]string{{"j1", "J2"}}, "j1 and J2 " + rest},
		{[][2]string{{"J1", "J2"}, {"J2", "J3"}}, "Among J1, J2 and J3 are headers that " + rest},
	} {
		if got := SwappableCaution(test.pairs...); got != test.want {
			t.Errorf("%v: %q, want %q", test.pairs, got, test.want)
		}
	}
}
