package db

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// Everything that bears on a machine of several boards is in its dossier: the
// plate, positions, loads as they can be measured, how a family is read.
func TestDossierOfSeveralBoards(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	exec(t, db, `
		UPDATE models SET volts = '110-120/220-240', hertz = '{50,60}', class = 'II' WHERE id = 7;
		UPDATE boards SET position = 'display' WHERE part_id = 8;
		UPDATE families SET method = 'switches', reversible = true, readback = '{P1,P2}', alphabet = '{digit,red-green}', panel = '{P2,/,P1}' WHERE id = 2;
		INSERT INTO builds (id, model_id, position, build, made, part_id) OVERRIDING SYSTEM VALUE VALUES (9, 7, 'display', 'only', '(,)', 8);
		INSERT INTO loads (model_id, position, build_id, circuit, amps, power_factor, ohms_low, ohms_high, at_celsius) VALUES
			(7, 'display', 9, 'lamp', 0.2, 0.9, 100, 130, 20)`)
	asked := machine("Ondara", "TD 5", "C")
	asked.OldPart = "OTHER"
	got := dossiers(t, db, asked)[0]

	if diff := cmp.Diff(standin.Known([]standin.VoltRange{{Low: 110, High: 120}, {Low: 220, High: 240}}), got.Model.Volts); diff != "" {
		t.Errorf("volts:\n%s", diff)
	}
	if diff := cmp.Diff(standin.Known([]float64{50, 60}), got.Model.Hertz); diff != "" || got.Model.Class != "II" {
		t.Errorf("class %q, hertz:\n%s", got.Model.Class, diff)
	}
	var builds []string
	for _, b := range got.Builds {
		builds = append(builds, b.Position+"/"+b.Label)
	}
	if diff := cmp.Diff([]string{"/only", "display/only"}, builds); diff != "" {
		t.Errorf("builds:\n%s", diff)
	}
	if diff := cmp.Diff([]standin.Load{{Position: "display", Build: "only", Circuit: "lamp", Amps: standin.Known(0.2), PowerFactor: standin.Known(0.9),
		OhmsLow: standin.Known(100.0), OhmsHigh: standin.Known(130.0), AtCelsius: standin.Known(20.0)}}, got.Loads); diff != "" {
		t.Errorf("loads:\n%s", diff)
	}
	if diff := cmp.Diff(&standin.Family{Name: "Drum", Note: "a chip is moved over", Method: standin.MethodSwitches, Reversible: standin.Known(true),
		Readback: []string{"P1", "P2"}, Alphabet: []string{"0123456789", "0rg"}, Panel: [][]string{{"P2"}, {"P1"}}}, got.Families["Drum"]); diff != "" {
		t.Errorf("family:\n%s", diff)
	}
	if len(got.OldParts) != 1 || got.OldParts[0].Position != "display" || !cmp.Equal(got.OldParts[0].Kinds, []string{"dryer"}) {
		t.Errorf("old part %+v", got.OldParts)
	}
	for _, b := range got.Boards {
		if want := map[string]string{"OTHER": "display"}[b.PartNumber]; b.Position != want {
			t.Errorf("%s has the position %q, want %q", b.PartNumber, b.Position, want)
		}
	}
	families, err := db.ListFamilies(t.Context(), "", 5)
	if err != nil || len(families) != 2 || families[0].Method != standin.MethodSwitches || len(families[0].Panel) != 2 {
		t.Errorf("families %+v, %v", families, err)
	}
}

func TestAdaptorOf(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	got, err := db.AdaptorOf(t.Context(), "ad 1")
	if err != nil {
		t.Fatal(err)
	}
	want := []standin.Stock{{Location: "front", PartNumber: "AD-1", Condition: "new", Quantity: 4, Free: 4}}
	if diff := cmp.Diff(want, got.Stock); diff != "" || got.Title != "wide to three" {
		t.Errorf("%q, stock:\n%s", got.Title, diff)
	}
	if len(got.Takes.Connectors) != 1 || len(got.Gives.Connectors) != 3 {
		t.Errorf("takes %+v, gives %+v", got.Takes, got.Gives)
	}
	for _, number := range []string{"LB-100", "no such", ""} {
		if _, err := db.AdaptorOf(t.Context(), number); standin.CodeOf(err) != standin.CodeNotFound {
			t.Errorf("adaptor %q: %v, want not-found", number, err)
		}
	}
}
