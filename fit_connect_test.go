package standin_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"standin"
)

// What is said to go where can go there, every plug once, every header and every
// plug of an adaptor that is taken at most once.
func TestConnectionsAreAMatching(t *testing.T) {
	seen := map[string]int{}
	eachCase(t, 1, func(t *testing.T, _ *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		a := standin.Fit(d, m)
		for _, c := range a.Candidates {
			for i, b := range c.Builds {
				how := outcome(b, standin.CheckConnectors)
				harness, board := a.Builds[i].Layout, layoutOf(d, c)
				if how == standin.Fail || harness == nil || board == nil {
					if b.Connections != nil {
						t.Errorf("%s %s: connections %v, though connectors %s", c.PartNumber, c.Revision, b.Connections, how)
					}
					continue
				}
				seen[fmt.Sprint(len(b.Adaptors), " adaptors, ", how)]++
				for _, connection := range b.Connections {
					seen[fmt.Sprint("certain ", connection.Certain)]++
				}
				connectionsHold(t, d, harness, board, b, how)
			}
		}
	})
	for _, want := range []string{"0 adaptors, pass", "0 adaptors, unknown", "2 adaptors, pass", "1 adaptors, unknown", "certain true", "certain false"} {
		if seen[want] == 0 && *fitCases >= 2000 {
			t.Errorf("no case: %s", want)
		}
	}
}

func connectionsHold(t *testing.T, d *standin.Dossier, harness, board *standin.Layout, b standin.BuildAnswer, how standin.Outcome) {
	t.Helper()
	outlets, inlets := map[standin.ConnectionEnd]standin.Connector{}, map[standin.ConnectionEnd]standin.Connector{}
	add := func(ends map[standin.ConnectionEnd]standin.Connector, part string, l *standin.Layout) {
		for _, c := range l.Connectors {
			ends[standin.ConnectionEnd{Part: part, Connector: c.Marking}] = c
		}
	}
	add(outlets, "", harness)
	add(inlets, "", board)
	toGive := 0
	for _, part := range b.Adaptors {
		for _, a := range d.Adaptors {
			if a.PartNumber == part {
				add(outlets, part, a.Gives)
				add(inlets, part, a.Takes)
				toGive += len(a.Takes.Connectors)
			}
		}
	}
	if len(b.Connections) != len(outlets) {
		t.Errorf("%d connections of %d plugs", len(b.Connections), len(outlets))
	}
	for _, c := range b.Connections {
		plug, isPlug := outlets[c.From]
		header, isHeader := inlets[c.To]
		sure := pair(plug, header)
		if !isPlug || !isHeader || sure == seatsNot || how == standin.Pass && (sure != seatsSurely || !c.Certain) || c.Certain && sure != seatsSurely {
			t.Errorf("%+v: connectors %s, the pair %d", c, how, sure)
		}
		delete(outlets, c.From)
		delete(inlets, c.To)
		if c.To.Part != "" {
			toGive--
		}
	}
	if toGive != 0 {
		t.Errorf("%d plugs that adaptors take are given nothing", toGive)
	}
}

func layoutOf(d *standin.Dossier, c standin.Candidate) *standin.Layout {
	for _, board := range d.Boards {
		for _, r := range board.Revisions {
			if board.PartNumber == c.PartNumber && r.Label == c.Revision {
				return r.Layout
			}
		}
	}
	return nil
}

// Of plugs in doubt only the one that can go nowhere else is certain.
func TestCertainConnections(t *testing.T) {
	t.Parallel()
	d := simple()
	unwired := standin.Connector{Marking: "CN9", Ways: standin.Known(3), PitchMM: standin.Known(2.5), Key: standin.Known("k")}
	d.Builds[0].Layout = layout("harness", wired("CN1", "heater", "motor", "pump"), unwired, wired("CN3", "lock"))
	d.Boards[0].Revisions[0].Layout = layout("board", wired("J1", "heater", "motor", "pump"), wired("J2", "lamp", "fan", "door"), wired("J3", "lock"))
	b := only(d)
	want := map[string]string{"CN1": "J1 true", "CN9": "J2 false", "CN3": "J3 true"}
	for _, c := range b.Connections {
		if got := fmt.Sprint(c.To.Connector, " ", c.Certain); got != want[c.From.Connector] {
			t.Errorf("%s goes to %s; want %s", c.From.Connector, got, want[c.From.Connector])
		}
	}
	if len(b.Connections) != 3 {
		t.Errorf("connections %v", b.Connections)
	}
	other := wired("J4", "heater", "motor", "pump")
	other.Circuits = standin.Maybe[[]string]{}
	d.Boards[0].Revisions[0].Layout = layout("board", append(d.Boards[0].Revisions[0].Layout.Connectors, other)...)
	for _, c := range only(d).Connections {
		if c.From.Connector == "CN1" && c.Certain {
			t.Errorf("CN1 is certain, though J4 may be its header as well: %+v", c)
		}
	}
}

// One set of adaptors that serves all builds comes before the first of each.
func TestOneSetOfAdaptorsForAllBuilds(t *testing.T) {
	t.Parallel()
	d := simple()
	gives := layout("gives", wired("B", "motor", "heater"))
	d.Builds = append(d.Builds, d.Builds[0])
	d.Builds[1].Label = "b2"
	d.Builds[0].Layout = layout("h1", wired("CN1", "heater", "."))
	d.Builds[1].Layout = layout("h2", wired("CN1", ".", "motor"))
	d.Boards[0].Revisions[0].Layout = layout("board", wired("J1", "motor", "heater"))
	d.Adaptors = []standin.Adaptor{
		{PartNumber: "L1", Takes: layout("takes", wired("A", "heater", ".")), Gives: gives},
		{PartNumber: "L2", Takes: layout("takes", wired("A", ".", "motor")), Gives: gives},
		{PartNumber: "L3", Takes: layout("takes", wired("A", "heater", "motor")), Gives: gives},
	}
	c := standin.Fit(d, standin.Machine{}).Candidates[0]
	for _, b := range c.Builds {
		if len(b.Adaptors) != 1 || b.Adaptors[0] != "L3" {
			t.Errorf("build %s takes %v; want L3, which serves both", b.Build, b.Adaptors)
		}
	}
	d.Adaptors = d.Adaptors[:2]
	c = standin.Fit(d, standin.Machine{}).Candidates[0]
	if got := fmt.Sprint(c.Builds[0].Adaptors, c.Builds[1].Adaptors); got != "[L1] [L2]" {
		t.Errorf("without it they take %s", got)
	}
}

// A board that is supplied set is proved by the code of its family for the model.
func TestProofOfAPreset(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Presets = []standin.Preset{{PartNumber: "P1"}}
	b := only(d)
	if b.Work != standin.AsPreset || b.Code != nil || b.Proof == nil || fmt.Sprintf("%v %s %s", b.Proof.Code, b.Proof.Pattern, b.Proof.Procedure) != "[A B] 10 P" {
		t.Errorf("work %s, code %v, proof %+v", b.Work, b.Code, b.Proof)
	}
	if a := standin.Fit(d, standin.Machine{}); a.Procedures["P"] == nil {
		t.Error("the procedure that reads it back is not in the answer")
	}
	a := standin.Fit(d, standin.Machine{})
	if j, err := a.Job("P1", ""); err != nil || j.Pattern != "10" {
		t.Errorf("the job is %+v, %v", j, err)
	}
	d.Configurations[0].IssueFrom = standin.Known(2)
	if b := only(d); b.Work != standin.AsPreset || b.Proof != nil {
		t.Errorf("the code is for other issues, yet the proof is %+v", b.Proof)
	}
}
