package standin_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"standin"

	"github.com/google/go-cmp/cmp"
)

// connectors is the outcome of that check, and the adaptors, for a harness, a
// board and adaptors.
func connectors(harness, board *standin.Layout, adaptors ...standin.Adaptor) (standin.Outcome, string) {
	d := simple()
	d.Builds[0].Layout, d.Boards[0].Revisions[0].Layout, d.Adaptors = harness, board, adaptors
	b := only(d)
	return outcome(b, standin.CheckConnectors), strings.Join(b.Adaptors, " ")
}

func TestPairs(t *testing.T) {
	t.Parallel()
	change := func(c standin.Connector, f func(*standin.Connector)) standin.Connector {
		f(&c)
		return c
	}
	full := wired("X", "mains", "motor", ".")
	none := standin.Connector{Marking: "X"}
	for _, test := range []struct {
		name         string
		plug, header standin.Connector
		want         standin.Outcome
	}{
		{"the same", full, full, standin.Pass},
		{"nothing recorded", none, none, standin.Unknown},
		{"nothing recorded on one side", full, none, standin.Unknown},
		{"other ways", full, change(full, func(c *standin.Connector) { c.Ways = standin.Known(4) }), standin.Fail},
		{"other pitch", full, change(full, func(c *standin.Connector) { c.PitchMM = standin.Known(2.54) }), standin.Fail},
		{"other key", full, change(full, func(c *standin.Connector) { c.Key = standin.Known("l") }), standin.Fail},
		{"ways not recorded", full, change(full, func(c *standin.Connector) { c.Ways.Known = false }), standin.Unknown},
		{"pitch not recorded", full, change(full, func(c *standin.Connector) { c.PitchMM.Known = false }), standin.Unknown},
		{"key not recorded", full, change(full, func(c *standin.Connector) { c.Key.Known = false }), standin.Unknown},
		{"circuits not recorded", full, change(full, func(c *standin.Connector) { c.Circuits.Known = false }), standin.Unknown},
		{"other circuit on a wired pin", full, wired("X", "mains", "pump", "."), standin.Fail},
		{"none on a wired pin", full, wired("X", "mains", ".", "."), standin.Fail},
		{"anything on an unused pin", full, wired("X", "mains", "motor", "pump"), standin.Pass},
		{"a difference beats what is not recorded", change(full, func(c *standin.Connector) { c.Key.Known = false }),
			change(full, func(c *standin.Connector) { c.PitchMM = standin.Known(5.0) }), standin.Fail},
	} {
		if got, _ := connectors(layout("h", test.plug), layout("b", test.header)); got != test.want {
			t.Errorf("%s: %v; want %v", test.name, got, test.want)
		}
	}
}

func TestSeating(t *testing.T) {
	t.Parallel()
	unsure := plug("U", 3)
	unsure.Key.Known = false
	for _, test := range []struct {
		name           string
		harness, board *standin.Layout
		want           standin.Outcome
	}{
		{"headers left over", layout("h", plug("A", 3)), layout("b", plug("1", 3), plug("2", 4)), standin.Pass},
		{"two plugs, one header", layout("h", plug("A", 3), plug("B", 3)), layout("b", plug("1", 3)), standin.Fail},
		{"two plugs, two headers", layout("h", plug("A", 3), plug("B", 3)), layout("b", plug("1", 3), plug("2", 3)), standin.Pass},
		{"the greedy choice is wrong", layout("h", unsure, plug("B", 3)), layout("b", plug("1", 3), unsure), standin.Unknown},
		{"harness not recorded", nil, layout("b", plug("1", 3)), standin.Unknown},
		{"board not recorded", layout("h", plug("A", 3)), nil, standin.Unknown},
	} {
		if got, _ := connectors(test.harness, test.board); got != test.want {
			t.Errorf("%s: %v; want %v", test.name, got, test.want)
		}
	}
}

func TestAdaptors(t *testing.T) {
	t.Parallel()
	split := standin.Adaptor{PartNumber: "AL-2", Takes: layout("t", plug("A", 10)), Gives: layout("g", plug("A", 6), plug("B", 2), plug("C", 2))}
	again := split
	again.PartNumber = "AL-1"
	half := standin.Adaptor{PartNumber: "AL-5", Takes: layout("t", plug("A", 10)), Gives: layout("g", plug("A", 9))}
	rest := standin.Adaptor{PartNumber: "AL-4", Takes: layout("t", plug("A", 9)), Gives: layout("g", plug("A", 6), plug("B", 2), plug("C", 2))}
	wide := layout("h", plug("X", 10))
	small := layout("b", plug("1", 2), plug("2", 6), plug("3", 2))
	doubtful := layout("b", plug("1", 2), plug("2", 6), plug("3", 2))
	doubtful.Connectors[1].Key.Known = false
	open := layout("b", plug("1", 10))
	open.Connectors[0].Circuits.Known = false
	for _, test := range []struct {
		name     string
		harness  *standin.Layout
		board    *standin.Layout
		adaptors []standin.Adaptor
		want     standin.Outcome
		with     string
	}{
		{"none to be had", wide, small, nil, standin.Fail, ""},
		{"one", wide, small, []standin.Adaptor{split}, standin.Pass, "AL-2"},
		{"the alphabetically first", wide, small, []standin.Adaptor{split, again}, standin.Pass, "AL-1"},
		{"two in a row", wide, small, []standin.Adaptor{half, rest}, standin.Pass, "AL-4 AL-5"},
		{"the fewest", wide, small, []standin.Adaptor{half, rest, split}, standin.Pass, "AL-2"},
		{"each once", layout("h", plug("X", 10), plug("Y", 10)), layout("b", plug("1", 6), plug("2", 6), plug("3", 2), plug("4", 2), plug("5", 2), plug("6", 2)),
			[]standin.Adaptor{split}, standin.Fail, ""},
		{"both", layout("h", plug("X", 10), plug("Y", 10)), layout("b", plug("1", 6), plug("2", 6), plug("3", 2), plug("4", 2), plug("5", 2), plug("6", 2)),
			[]standin.Adaptor{split, again}, standin.Pass, "AL-1 AL-2"},
		{"possibly", wide, doubtful, []standin.Adaptor{split}, standin.Unknown, "AL-2"},
		{"sure with an adaptor before possibly direct", wide, layout("b", open.Connectors[0], plug("1", 2), plug("2", 6), plug("3", 2)),
			[]standin.Adaptor{split}, standin.Pass, "AL-2"},
		{"possibly direct before possibly with an adaptor", wide, layout("b", open.Connectors[0], plug("1", 2), doubtful.Connectors[1], plug("3", 2)),
			[]standin.Adaptor{split}, standin.Unknown, ""},
		{"what it gives has no header", wide, layout("b", plug("2", 6), plug("3", 2)), []standin.Adaptor{split}, standin.Fail, ""},
	} {
		got, with := connectors(test.harness, test.board, test.adaptors...)
		if got != test.want || with != test.with {
			t.Errorf("%s: %v with %q; want %v with %q", test.name, got, with, test.want, test.with)
		}
	}
}

func TestFourAdaptorsAreTooMany(t *testing.T) {
	t.Parallel()
	var adaptors []standin.Adaptor
	for i := range 4 {
		adaptors = append(adaptors, standin.Adaptor{PartNumber: fmt.Sprint("AL-", i),
			Takes: layout("t", plug("A", 10-i)), Gives: layout("g", plug("A", 9-i))})
	}
	if got, with := connectors(layout("h", plug("X", 10)), layout("b", plug("1", 7)), adaptors...); got != standin.Pass || with != "AL-0 AL-1 AL-2" {
		t.Errorf("three in a row: %v with %q", got, with)
	}
	if got, _ := connectors(layout("h", plug("X", 10)), layout("b", plug("1", 6)), adaptors...); got != standin.Fail {
		t.Errorf("four in a row: %v; want fail", got)
	}
}

func TestSwappablePlugs(t *testing.T) {
	t.Parallel()
	blank := wired("J3", "x", "y")
	blank.Circuits.Known = false
	for _, test := range []struct {
		name  string
		board *standin.Layout
		want  [][2]string
	}{
		{"other circuits", layout("b", wired("J1", "mains", "motor"), wired("J2", "pump", "lock")), [][2]string{{"J1", "J2"}}},
		{"the same circuits", layout("b", wired("J1", "mains", "motor"), wired("J2", "mains", "motor")), nil},
		{"not recorded", layout("b", wired("J1", "mains", "motor"), blank), [][2]string{{"J1", "J3"}}},
		{"another shape", layout("b", wired("J1", "mains", "motor"), wired("J2", "pump", "lock", "x")), nil},
	} {
		d := simple()
		d.Builds[0].Layout = layout("h", wired("CN1", "mains", "motor"))
		d.Boards[0].Revisions[0].Layout = test.board
		if diff := cmp.Diff(test.want, only(d).Swappable); diff != "" {
			t.Errorf("%s: %s", test.name, diff)
		}
	}
}

// The matching and the search for adaptors against trying everything.
func TestSeatingAgainstBruteForce(t *testing.T) {
	t.Parallel()
	outcomes := map[string]int{}
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 1))
		harness, board := randomLayout(r, 3), randomLayout(r, 4)
		var adaptors []standin.Adaptor
		for i := range r.IntN(5) {
			adaptors = append(adaptors, standin.Adaptor{PartNumber: fmt.Sprint("AL-", i), Takes: randomLayout(r, 2), Gives: randomLayout(r, 2)})
		}
		got, with := connectors(harness, board, adaptors...)
		want, wantWith := bruteForce(harness, board, adaptors)
		if got != want || with != wantWith {
			t.Fatalf("seed %d: %v with %q; trying everything gives %v with %q\nharness %v\nboard %v\nadaptors %+v",
				seed, got, with, want, wantWith, harness, board, adaptors)
		}
		outcomes[fmt.Sprint(got, " ", strings.Count(with, "AL"))]++
	}
	for _, kind := range []string{"pass 0", "pass 1", "pass 2", "unknown 0", "unknown 1", "unknown 2", "fail 0"} {
		if outcomes[kind] < 5 {
			t.Errorf("the random cases reach %q %d times only: %v", kind, outcomes[kind], outcomes)
		}
	}
}

func randomLayout(r *rand.Rand, most int) *standin.Layout {
	l := &standin.Layout{Name: "random"}
	for i := range 1 + r.IntN(most) {
		c := plug(fmt.Sprint("C", i), 1+r.IntN(3))
		if r.IntN(6) == 0 {
			c.Key.Known = false
		}
		if r.IntN(12) == 0 {
			c.Ways.Known = false
		}
		l.Connectors = append(l.Connectors, c)
	}
	return l
}

// bruteForce applies every sequence of adaptors to every choice of plugs.
func bruteForce(harness, board *standin.Layout, adaptors []standin.Adaptor) (standin.Outcome, string) {
	for _, try := range []struct {
		sure, adapted bool
		outcome       standin.Outcome
	}{{true, false, standin.Pass}, {true, true, standin.Pass}, {false, false, standin.Unknown}, {false, true, standin.Unknown}} {
		best := []string{"~", "~", "~", "~"}
		found := false
		most := 0
		if try.adapted {
			most = 3
		}
		applyAll(harness.Connectors, board.Connectors, adaptors, nil, most, try.sure, func(set []string) {
			found = true
			if len(set) < len(best) || len(set) == len(best) && slices.Compare(set, best) < 0 {
				best = set
			}
		})
		if found {
			return try.outcome, strings.Join(best, " ")
		}
	}
	return standin.Fail, ""
}

func applyAll(plugs, headers []standin.Connector, adaptors []standin.Adaptor, used []string, most int, sure bool, seated func([]string)) {
	goes := func(plug, header standin.Connector) bool { return onto(plug, header, sure) }
	taken := func(inlet, plug standin.Connector) bool { return onto(plug, inlet, sure) }
	if assign(plugs, headers, goes, func([]standin.Connector) bool { return true }) {
		seated(slices.Sorted(slices.Values(used)))
	}
	if len(used) == most {
		return
	}
	for _, a := range adaptors {
		if slices.Contains(used, a.PartNumber) {
			continue
		}
		assign(a.Takes.Connectors, plugs, taken, func(left []standin.Connector) bool {
			applyAll(append(slices.Clone(left), a.Gives.Connectors...), headers, adaptors, append(slices.Clone(used), a.PartNumber), most, sure, seated)
			return false
		})
	}
}

// assign gives each of these one of those in every way until done says so with
// those left over. goes tells whether one of these and one of those may be joined.
func assign(these, those []standin.Connector, goes func(a, b standin.Connector) bool, done func(left []standin.Connector) bool) bool {
	if len(these) == 0 {
		return done(those)
	}
	for i, c := range those {
		if goes(these[0], c) && assign(these[1:], slices.Delete(slices.Clone(those), i, i+1), goes, done) {
			return true
		}
	}
	return false
}

// onto is rule 5 for random connectors, of which ways and key may be unrecorded
// and all pins are wired.
func onto(plug, header standin.Connector, sure bool) bool {
	ways := plug.Ways.Known && header.Ways.Known
	if ways && plug.Ways.V != header.Ways.V || sure && !(ways && plug.Key.Known && header.Key.Known) {
		return false
	}
	on := header.Circuits.V
	return len(plug.Circuits.V) <= len(on) && slices.Equal(plug.Circuits.V, on[:len(plug.Circuits.V)])
}

func TestMayMate(t *testing.T) {
	t.Parallel()
	full := wired("X", "mains", "motor", ".")
	for _, test := range []struct {
		name   string
		change func(*standin.Connector)
		want   bool
	}{
		{"the same", func(*standin.Connector) {}, true},
		{"other ways", func(c *standin.Connector) { c.Ways = standin.Known(4) }, false},
		{"other pitch", func(c *standin.Connector) { c.PitchMM = standin.Known(2.54) }, false},
		{"other key", func(c *standin.Connector) { c.Key = standin.Known("l") }, false},
		{"other circuits", func(c *standin.Connector) { c.Circuits = standin.Known([]string{"pump", ".", "."}) }, true},
		{"nothing recorded", func(c *standin.Connector) { *c = standin.Connector{} }, true},
	} {
		header := full
		test.change(&header)
		if got := standin.MayMate(&full, &header); got != test.want {
			t.Errorf("%s: %t", test.name, got)
		}
		if got := standin.MayMate(&header, &full); got != test.want {
			t.Errorf("%s, the other way round: %t", test.name, got)
		}
	}
}

func TestUsableAdaptors(t *testing.T) {
	t.Parallel()
	step := func(part string, takes, gives int) standin.Adaptor {
		return standin.Adaptor{PartNumber: part, Takes: layout("t", plug("T", takes)), Gives: layout("g", plug("G", gives))}
	}
	chain := []standin.Adaptor{step("D", 5, 6), step("C", 4, 5), step("B", 3, 4), step("A", 2, 3)}
	half := standin.Adaptor{PartNumber: "H", Takes: layout("t", plug("T", 2))} // what it gives is not recorded
	for _, test := range []struct {
		name     string
		adaptors []standin.Adaptor
		builds   []standin.Build
		want     string
	}{
		{"three in a row, and no fourth", chain, []standin.Build{{Layout: layout("h", plug("P", 2))}}, "C B A"},
		{"of either build", chain, []standin.Build{{Layout: layout("h", plug("P", 5))}, {Layout: layout("h", plug("P", 3))}}, "D C B"},
		{"no harness recorded", chain, []standin.Build{{}}, ""},
		{"any ways", chain, []standin.Build{{Layout: layout("h", standin.Connector{Marking: "P"})}}, "D C B A"},
		{"half recorded", []standin.Adaptor{half}, []standin.Build{{Layout: layout("h", plug("P", 2))}}, ""},
	} {
		var got []string
		for _, a := range standin.UsableAdaptors(test.adaptors, test.builds) {
			got = append(got, a.PartNumber)
		}
		if strings.Join(got, " ") != test.want {
			t.Errorf("%s: %v, want %s", test.name, got, test.want)
		}
	}
}
