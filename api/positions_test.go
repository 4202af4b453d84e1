package api_test

import (
	"net/http"
	"testing"

	"standin"
)

// severalBoards is the catalogue with a model of two boards, rated for two ranges,
// of which everything that may be recorded is.
func severalBoards() *catalogue {
	c := newCatalogue()
	d := c.dossiers[2]
	d.Model.Volts = standin.Known([]standin.VoltRange{{Low: 110, High: 120}, {Low: 220, High: 240}})
	d.Model.Hertz, d.Model.Class = standin.Known([]float64{50, 60}), "II"
	harness := &standin.Layout{Name: "lamp plug", Connectors: []standin.Connector{plug("P", 2, "lamp", "lamp-return")}}
	d.Builds = []standin.Build{
		{Label: "b1", PartNumber: "70-1001", Needs: standin.Known([]string{})},
		{Label: "b1", Position: "display", PartNumber: "88-1", Layout: harness, Needs: standin.Known([]string{})},
	}
	d.Loads = []standin.Load{{Position: "display", Circuit: "lamp", Amps: standin.Known(0.2), PowerFactor: standin.Known(0.9),
		OhmsLow: standin.Known(100.0), OhmsHigh: standin.Known(130.0), AtCelsius: standin.Known(20.0)}}
	d.Boards = []standin.Board{{PartNumber: "88-1", Position: "display", Revisions: []standin.Revision{{
		Label: "A", Layout: harness, Options: standin.Known([]string{}), Hertz: standin.Known([]float64{50, 60}),
		VoltsMin: standin.Known(100.0), VoltsMax: standin.Known(250.0),
		Ratings: map[string]standin.Maybe[float64]{"lamp": standin.Known(1.0), "buzzer": {}},
	}}}}
	d.Stock = []standin.Stock{{Location: "front", PartNumber: "88-1", Revision: "A", Condition: "new", Quantity: 1, Free: 1}}
	c.boards = append(c.boards, standin.BoardRecord{Board: d.Boards[0], Stock: d.Stock})
	c.families = append(c.families, standin.FamilyRecord{Family: standin.Family{
		Name: "Heron", Method: standin.MethodSwitches, Reversible: standin.Known(true), CodeLength: 1, Selector: []string{"on", "off"},
		Readback: []string{"D1", "D2"}, Alphabet: []string{"0123456789", "0rg"}, Panel: [][]string{{"D2"}, {"D1"}},
	}})
	return c
}

func TestSeveralBoards(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, severalBoards())
	for _, test := range []struct {
		name, target string
		has          has
	}{
		{"the model", "/v1/models/3", has{
			"volts": "null", "hertz": "null", "rated_volts": `[{"high":120,"low":110},{"high":240,"low":220}]`, "rated_hertz": "[50,60]", "class": `"II"`,
			"builds.0.position": `""`, "builds.1.position": `"display"`, "loads.0.position": `"display"`, "loads.0.amps": "0.2",
			"loads.0.power_factor": "0.9", "loads.0.ohms_low": "100", "loads.0.ohms_high": "130", "loads.0.at_celsius": "20",
		}},
		{"no position told", "/v1/fits?brand=Wexcombe&model=DW+500", has{
			"positions": `["control","display"]`, "builds.length": "2", "question.kind": `"position"`,
		}},
		{"the display", "/v1/fits?brand=Wexcombe&model=DW+500&position=display&location=front", has{
			"builds.length": "1", "builds.0.position": `"display"`, "candidates.0.part_number": `"88-1"`, "candidates.0.availability": `"here"`,
			"candidates.0.adaptor_stock": "[]", "candidates.0.builds.0.connections.0.to": `{"connector":"P","part":""}`,
			"candidates.0.builds.0.proof": "null", "candidates.0.builds.0.connections.0.certain": "true",
		}},
		{"the board", "/v1/boards/88-1", has{
			"position": `"display"`, "revisions.0.ratings": `[{"circuit":"buzzer","max_amps":null},{"circuit":"lamp","max_amps":1}]`,
		}},
		{"a family that is read otherwise", "/v1/families/Heron", has{
			"method": `"switches"`, "reversible": "true", "alphabet": `["0123456789","0rg"]`, "panel": `[["D2"],["D1"]]`,
		}},
		{"a family of which nothing of this is recorded", "/v1/families/Dunlin", has{
			"method": `"selector"`, "reversible": "null", "alphabet": "[]", "panel": "[]",
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			r := get(t, handler, test.target)
			if r.Code != http.StatusOK {
				t.Fatalf("status %d: %s", r.Code, r.Body)
			}
			for path, want := range test.has {
				if got := r.at(path); got != want {
					t.Errorf("%s is %s, want %s", path, got, want)
				}
			}
		})
	}
}
