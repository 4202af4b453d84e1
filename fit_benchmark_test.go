package standin_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"standin"
	"standin/api"
)

// benchDossier has 3 builds and 30 candidates, each of 12 connectors, every
// layout its own. With adaptors the boards have no header for the plugs that
// three adaptors take, so that all three must be found.
func benchDossier(adaptors int) (*standin.Dossier, standin.Machine) {
	key := standin.ModelKey{Brand: "Brandless", Model: "M 1"}
	d := &standin.Dossier{
		Asked: key,
		Model: standin.Model{ModelKey: key, Volts: standin.Known([]standin.VoltRange{{Low: 230, High: 230}}), Hertz: standin.Known([]float64{50})},
		Loads: []standin.Load{
			{Circuit: "heater", Watts: standin.Known(2000.0), Element: standin.ElementHeating},
			{Circuit: "motor", Watts: standin.Known(350.0), Element: standin.ElementMotor},
		},
		Families: map[string]*standin.Family{"F": {Name: "F", Selector: []string{"A", "B", "C"}, CodeLength: 3,
			Readback: []string{"K1", "K2", "K3", "K4"}, Procedure: "P"}},
		Procedures: map[string]*standin.Procedure{"P": {Name: "P"}},
		Configurations: []standin.Configuration{{Family: "F", Model: key, Code: []string{"A", "B", "C"},
			Pattern: "10-1", Source: "S"}},
	}
	for b := range 3 {
		d.Builds = append(d.Builds, standin.Build{
			Label:      fmt.Sprintf("b%d", b+1),
			Made:       standin.Days(standin.NewDate(2000+b, 1, 1), standin.NewDate(2000+b, 12, 31)),
			PartNumber: "P00", Layout: benchLayout(fmt.Sprintf("harness %d", b), adaptors),
			Needs: standin.Known([]string{"hot-valve"}),
		})
	}
	for c := range 10 {
		board := standin.Board{PartNumber: fmt.Sprintf("P%02d", c), Family: "F", Title: "control"}
		for r := range 3 {
			board.Revisions = append(board.Revisions, standin.Revision{
				Label: fmt.Sprintf("R%d", r), Issue: standin.Known(r + 1),
				Layout:   benchLayout(fmt.Sprintf("board %d.%d", c, r), 0),
				Options:  standin.Known([]string{"hot-valve", "pump"}),
				VoltsMin: standin.Known(207.0), VoltsMax: standin.Known(253.0), Hertz: standin.Known([]float64{50, 60}),
				Ratings: map[string]standin.Maybe[float64]{"heater": standin.Known(16.0), "motor": standin.Known(10.0)},
			})
		}
		d.Boards = append(d.Boards, board)
		d.Stock = append(d.Stock, standin.Stock{Location: "front", PartNumber: board.PartNumber, Condition: "new", Quantity: c, Free: c})
	}
	for a := range adaptors {
		d.Adaptors = append(d.Adaptors, standin.Adaptor{
			PartNumber: fmt.Sprintf("L%d", a),
			Takes:      &standin.Layout{Name: "takes", Connectors: []standin.Connector{benchConnector(a, 20+a)}},
			Gives:      &standin.Layout{Name: "gives", Connectors: []standin.Connector{benchConnector(a, 2+a%6)}},
		})
	}
	return d, standin.Machine{ModelKey: key, Location: "front"}
}

// benchLayout has 12 connectors; the first few are of a shape of their own.
func benchLayout(name string, odd int) *standin.Layout {
	l := &standin.Layout{Name: name}
	for i := range 12 {
		ways := 2 + i%6
		if i < odd {
			ways = 20 + i
		}
		l.Connectors = append(l.Connectors, benchConnector(i, ways))
	}
	return l
}

func benchConnector(i, ways int) standin.Connector {
	c := standin.Connector{Marking: fmt.Sprintf("CN%d", i+1), Ways: standin.Known(ways),
		PitchMM: standin.Known(2.5), Key: standin.Known(fmt.Sprintf("key %d", i/6))}
	circuits := make([]string, ways)
	for pin := range circuits {
		circuits[pin] = fmt.Sprintf("circuit-%d-%d", i, pin)
	}
	c.Circuits = standin.Known(circuits)
	return c
}

// Deciding is to be cheaper than telling: compare the two Fit rows with the row
// of encoding the same answer (at most 1 ×, and 10 × with three adaptors to find).
func BenchmarkFit(b *testing.B) {
	plain, machine := benchDossier(0)
	adapted, _ := benchDossier(3)
	if a := standin.Fit(plain, machine); len(a.Candidates) != 30 || a.Candidates[0].Verdict != standin.Fits {
		b.Fatalf("the plain dossier is not answered as meant: %d candidates, %v", len(a.Candidates), a.Candidates[0])
	}
	if a := standin.Fit(adapted, machine); len(a.Candidates[0].Builds[0].Adaptors) != 3 {
		b.Fatalf("the adapted dossier is not answered as meant: %v", a.Candidates[0].Builds[0])
	}
	b.Run("direct", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			standin.Fit(plain, machine)
		}
	})
	b.Run("three-adaptors", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			standin.Fit(adapted, machine)
		}
	})
	b.Run("encode-json", func(b *testing.B) {
		b.ReportAllocs()
		answer := standin.Fit(plain, machine)
		for b.Loop() {
			if _, err := json.Marshal(api.EncodeAnswer(&answer, true)); err != nil {
				b.Fatal(err)
			}
		}
	})
}
