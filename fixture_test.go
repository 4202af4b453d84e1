package standin_test

import (
	"strings"

	"standin"
)

// simple is a dossier in which the one revision of the one board fits the one
// build: tests break one thing of it.
func simple() *standin.Dossier {
	key := standin.ModelKey{Brand: "Brandless", Model: "M 1"}
	return &standin.Dossier{
		Asked: key,
		Model: standin.Model{ModelKey: key, Volts: standin.Known([]standin.VoltRange{{Low: 230, High: 230}}), Hertz: standin.Known([]float64{50})},
		Builds: []standin.Build{{Label: "b1", PartNumber: "P1", Layout: layout("harness", plug("CN1", 3)),
			Needs: standin.Known([]string{"hot-valve"})}},
		Loads:          []standin.Load{{Circuit: "heater", Watts: standin.Known(2300.0), Element: standin.ElementHeating}},
		Families:       map[string]*standin.Family{"F": {Name: "F", Selector: []string{"A", "B"}, CodeLength: 2, Readback: []string{"K1", "K2"}, Procedure: "P"}},
		Procedures:     map[string]*standin.Procedure{"P": {Name: "P"}},
		Configurations: []standin.Configuration{{Family: "F", Model: key, Code: []string{"A", "B"}, Pattern: "10"}},
		Boards:         []standin.Board{{PartNumber: "P1", Family: "F", Revisions: []standin.Revision{revision("R1", 1)}}},
	}
}

func revision(label string, issue int) standin.Revision {
	return standin.Revision{
		Label: label, Issue: standin.Known(issue), Layout: layout("board", plug("J1", 3)),
		Options: standin.Known([]string{"hot-valve", "pump"}), VoltsMin: standin.Known(207.0), VoltsMax: standin.Known(253.0),
		Hertz: standin.Known([]float64{50, 60}), Ratings: map[string]standin.Maybe[float64]{"heater": standin.Known(10.0)},
	}
}

// volts are rated voltages; none are not recorded.
func volts(rated ...float64) (all standin.Maybe[[]standin.VoltRange]) {
	for _, v := range rated {
		all = standin.Known(append(all.V, standin.VoltRange{Low: v, High: v}))
	}
	return all
}

func layout(name string, connectors ...standin.Connector) *standin.Layout {
	return &standin.Layout{Name: name, Connectors: connectors}
}

// plug is a connector of which all is recorded; those of the same ways mate.
func plug(marking string, ways int) standin.Connector {
	return wired(marking, strings.Fields("mains motor heater valve pump lock lamp fan door probe")[:ways]...)
}

// wired is a connector of which all is recorded, with these circuits.
func wired(marking string, circuits ...string) standin.Connector {
	return standin.Connector{Marking: marking, Ways: standin.Known(len(circuits)), PitchMM: standin.Known(2.5),
		Key: standin.Known("k"), Circuits: standin.Known(circuits)}
}

// only is the answer for the one candidate and build of a dossier made by simple.
func only(d *standin.Dossier) standin.BuildAnswer {
	return standin.Fit(d, standin.Machine{}).Candidates[0].Builds[0]
}

func outcome(b standin.BuildAnswer, check string) standin.Outcome {
	for _, c := range b.Checks {
		if c.Check == check {
			return c.Outcome
		}
	}
	panic("no check " + check)
}

func labels(builds []standin.Build) string {
	words := make([]string, len(builds))
	for i, b := range builds {
		words[i] = b.Label
	}
	return strings.Join(words, " ")
}
