package standin_test

import (
	"fmt"
	"strings"
	"testing"

	"standin"

	"github.com/google/go-cmp/cmp"
)

// looked is which parts an answer looks at, with their distances.
func looked(a standin.Answer) string {
	var words []string
	for _, c := range a.Candidates {
		word := c.PartNumber
		if c.Distance.Known {
			word += fmt.Sprint(" ", c.Distance.V)
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

func board(part, family string) standin.Board {
	return standin.Board{PartNumber: part, Family: family, Revisions: []standin.Revision{revision("R1", 1)}}
}

func TestBoardsLookedAt(t *testing.T) {
	t.Parallel()
	link := func(old, new string, twoWay bool) standin.Supersession {
		return standin.Supersession{Old: old, New: new, TwoWay: twoWay}
	}
	for _, test := range []struct {
		name   string
		boards []standin.Board
		links  []standin.Supersession
		preset string
		want   string
	}{
		{"the factory board", []standin.Board{board("P1", "")}, nil, "", "P1 0"},
		{"one of the family", []standin.Board{board("P9", "F")}, nil, "", "P9"},
		{"one of another family", []standin.Board{board("P9", "G")}, nil, "", ""},
		{"one with a preset", []standin.Board{board("P9", "G")}, nil, "P9", "P9"},
		{"the new end", []standin.Board{board("P2", "")}, []standin.Supersession{link("P1", "P2", false)}, "", "P2 1"},
		{"the old end", []standin.Board{board("P0", "")}, []standin.Supersession{link("P0", "P1", false)}, "", ""},
		{"the old end of a two-way link", []standin.Board{board("P0", "")}, []standin.Supersession{link("P0", "P1", true)}, "", "P0 1"},
		{"a chain", []standin.Board{board("P3", "")}, []standin.Supersession{link("P1", "P2", false), link("P2", "P3", false)}, "", "P3 2"},
		{"the shorter of two", []standin.Board{board("P3", "")},
			[]standin.Supersession{link("P1", "P2", false), link("P2", "P3", false), link("P1", "P3", false)}, "", "P3 1"},
		{"round a two-way link", []standin.Board{board("P3", "")},
			[]standin.Supersession{link("P1", "P2", true), link("P2", "P3", true), link("P3", "P1", false)}, "", "P3 2"},
	} {
		d := simple()
		d.Boards, d.Supersessions = test.boards, test.links
		if test.preset != "" {
			d.Presets = []standin.Preset{{PartNumber: test.preset}}
		}
		if got := looked(standin.Fit(d, standin.Machine{})); got != test.want {
			t.Errorf("%s: %q; want %q", test.name, got, test.want)
		}
	}
}

func TestDistanceIsTheShortestOverThePossibleBuilds(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Boards = []standin.Board{board("P3", "F")}
	d.Supersessions = []standin.Supersession{{Old: "P1", New: "P2"}, {Old: "P2", New: "P3"}}
	for when, want := range map[string]string{"2002": "P3 2", "2004": "P3 1", "2003-06": "P3 1"} {
		if got := looked(standin.Fit(d, standin.Machine{Made: made(when)})); got != want {
			t.Errorf("made %s: %s; want %s", when, got, want)
		}
	}
}

func TestOneVerdict(t *testing.T) {
	t.Parallel()
	type dossier = *standin.Dossier
	second := func(change func(*standin.Build)) func(dossier) {
		return func(d dossier) {
			b := d.Builds[0]
			b.Label = "b2"
			change(&b)
			d.Builds = append(d.Builds, b)
		}
	}
	for _, test := range []struct {
		name   string
		change func(dossier)
		want   standin.Verdict
	}{
		{"both fit alike", second(func(*standin.Build) {}), standin.Fits},
		{"one to check", second(func(b *standin.Build) { b.Needs.Known = false }), standin.Check},
		{"one is no", second(func(b *standin.Build) { b.Needs = standin.Known([]string{"steam"}) }), standin.Depends},
		{"both are no", func(d dossier) {
			second(func(*standin.Build) {})(d)
			d.Boards[0].Revisions[0].Stop = "recalled"
		}, standin.No},
		{"one to check, one no", func(d dossier) {
			d.Builds[0].Needs.Known = false
			second(func(b *standin.Build) { b.Needs = standin.Known([]string{"steam"}) })(d)
		}, standin.Depends},
		{"another code", func(d dossier) {
			second(func(*standin.Build) {})(d)
			d.Configurations = append(d.Configurations, standin.Configuration{Family: "F", Build: "b2", Code: []string{"B", "B"}, Pattern: "10"})
		}, standin.Depends},
		{"another pattern", func(d dossier) {
			second(func(*standin.Build) {})(d)
			d.Configurations = append(d.Configurations, standin.Configuration{Family: "F", Build: "b2", Code: []string{"A", "B"}, Pattern: "11"})
		}, standin.Depends},
		{"another code and one to check", func(d dossier) {
			second(func(b *standin.Build) { b.Needs.Known = false })(d)
			d.Configurations = append(d.Configurations, standin.Configuration{Family: "F", Build: "b2", Code: []string{"B", "B"}, Pattern: "10"})
		}, standin.Depends},
		{"an adaptor in one", func(d dossier) {
			second(func(b *standin.Build) { b.Layout = layout("h", plug("X", 10)) })(d)
			d.Adaptors = []standin.Adaptor{{PartNumber: "AL-1", Takes: layout("t", plug("X", 10)), Gives: layout("g", plug("Y", 3))}}
		}, standin.Depends},
	} {
		d := simple()
		test.change(d)
		if got := standin.Fit(d, standin.Machine{}).Candidates[0].Verdict; got != test.want {
			t.Errorf("%s: %v; want %v", test.name, got, test.want)
		}
	}
}

// Each candidate of the list precedes the next for the reason named.
func TestOrder(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Builds[0].PartNumber = "FACTORY"
	add := func(part string, change func(*standin.Board)) {
		b := board(part, "F")
		change(&b)
		d.Boards = append(d.Boards, b)
	}
	same := func(*standin.Board) {}
	stock := func(part, location string, free int) {
		d.Stock = append(d.Stock, standin.Stock{Location: location, PartNumber: part, Quantity: 9, Free: free})
	}
	d.Boards = nil
	add("Z-HERE", same)
	stock("Z-HERE", "front", 1)
	add("Y-THERE", same)
	stock("Y-THERE", "store", 50)
	add("X-PRESET", same)
	d.Presets = []standin.Preset{{PartNumber: "X-PRESET"}}
	add("W-NEAR", same)
	add("V-FURTHER", same)
	d.Supersessions = []standin.Supersession{{Old: "FACTORY", New: "W-NEAR"}, {Old: "W-NEAR", New: "V-FURTHER"}}
	add("U-ISSUE", func(b *standin.Board) {
		b.Revisions = append(b.Revisions, revision("R2", 2), revision("R0", 0))
		b.Revisions[2].Issue = standin.Maybe[int]{}
	})
	add("A", same)
	stock("A", "front", 0)
	add("Q-CHECK", func(b *standin.Board) { b.Revisions[0].Options.Known = false })
	stock("Q-CHECK", "front", 3)
	add("P-NO", func(b *standin.Board) { b.Revisions[0].Stop = "recalled" })
	stock("P-NO", "front", 3)

	var got []string
	for _, c := range standin.Fit(d, standin.Machine{Location: "front"}).Candidates {
		got = append(got, c.PartNumber+" "+c.Revision)
	}
	want := []string{
		"Z-HERE R1",    // stock at the asked location
		"Y-THERE R1",   // stock anywhere, however much
		"X-PRESET R1",  // no stock, but nothing to do
		"W-NEAR R1",    // one link
		"V-FURTHER R1", // two links
		"U-ISSUE R2",   // no link, higher issue
		"A R1",         // issue 1, part number
		"U-ISSUE R1",
		"U-ISSUE R0", // issue not recorded
		"Q-CHECK R1",
		"P-NO R1",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestFewerAdaptorsFirst(t *testing.T) {
	t.Parallel()
	d := simple()
	direct, adapted := board("Z", "F"), board("A", "F")
	adapted.Revisions[0].Layout = layout("b", plug("J1", 4))
	d.Boards = []standin.Board{adapted, direct}
	d.Adaptors = []standin.Adaptor{{PartNumber: "AL-1", Takes: layout("t", plug("X", 3)), Gives: layout("g", plug("Y", 4))}}
	if got := looked(standin.Fit(d, standin.Machine{})); got != "Z, A" {
		t.Errorf("order %s; want the one without an adaptor first", got)
	}
}

func TestStockThatCounts(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Boards[0].Revisions = append(d.Boards[0].Revisions, revision("R2", 2))
	d.Stock = []standin.Stock{
		{Location: "front", PartNumber: "P1", Revision: "R1", Condition: "new", Quantity: 2, Free: 2},
		{Location: "store", PartNumber: "P1", Condition: "used", Quantity: 5, Free: 4},
		{Location: "store", PartNumber: "P9", Condition: "used", Quantity: 5, Free: 5},
	}
	want := map[string][]standin.StockLine{
		"R1": {{Location: "front", Condition: "new", Free: 2, RevisionKnown: true}, {Location: "store", Condition: "used", Free: 4}},
		"R2": {{Location: "store", Condition: "used", Free: 4}},
	}
	for _, c := range standin.Fit(d, standin.Machine{}).Candidates {
		if diff := cmp.Diff(want[c.Revision], c.Stock); diff != "" {
			t.Errorf("%s: %s", c.Revision, diff)
		}
	}
}

func TestTwinIsAnsweredAsItsModel(t *testing.T) {
	t.Parallel()
	d := simple()
	if a := standin.Fit(d, standin.Machine{}); a.TwinOf != nil {
		t.Errorf("no twin, but answered as %v", a.TwinOf)
	}
	d.Asked = standin.ModelKey{Brand: "Otherwise", Model: "T 1"}
	a := standin.Fit(d, standin.Machine{})
	if a.TwinOf == nil || *a.TwinOf != d.Model.ModelKey || a.Machine.ModelKey != d.Asked {
		t.Errorf("twin of %v, machine %v", a.TwinOf, a.Machine.ModelKey)
	}
}
