package db

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"standin"
)

var sameDossier = cmp.Options{cmpopts.IgnoreUnexported(standin.SerialRule{}), cmpopts.IgnoreFields(standin.Dossier{}, "Seatings")}

func date(year, month, day int) standin.Maybe[standin.Date] {
	return standin.Known(standin.NewDate(year, time.Month(month), day))
}

func dossiers(t *testing.T, db *DB, machines ...standin.Machine) []*standin.Dossier {
	t.Helper()
	got, err := db.Dossiers(t.Context(), machines)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(machines) {
		t.Fatalf("%d dossiers for %d machines", len(got), len(machines))
	}
	return got
}

func machine(brand, model, variant string) standin.Machine {
	return standin.Machine{ModelKey: standin.ModelKey{Brand: brand, Model: model, Variant: variant}}
}

func layoutOf(name string, connectors ...standin.Connector) *standin.Layout {
	return &standin.Layout{Name: name, Connectors: connectors}
}

// plug is a connector of so many ways with a pitch of 2.5 mm.
func plug(marking string, ways int, key string) standin.Connector {
	return standin.Connector{Marking: marking, Ways: standin.Known(ways), PitchMM: standin.Known(2.5), Key: standin.Known(key)}
}

// The whole dossier of one model, every kind of row in it.
func TestDossier(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	asked := machine("Ondara", "WD 300", "")
	asked.OldPart = "4011 2"
	got := dossiers(t, db, asked)[0]

	key := standin.ModelKey{Brand: "Ondara", Model: "WD 300"}
	pitchless := standin.Connector{Ways: standin.Known(2), Key: standin.Known("b")}
	third := func(marking string, ways int) standin.Connector {
		c := pitchless
		c.Marking, c.Ways = marking, standin.Known(ways)
		return c
	}
	j2 := standin.Connector{Marking: "J2", Ways: standin.Known(2), PitchMM: standin.Known(2.5), Circuits: standin.Known([]string{"heater", standin.Unused})}
	wideBoard := layoutOf("wide board", plug("CN1", 10, "a"))
	splitBoard := layoutOf("split board", plug("CN1", 6, "a"), plug("CN2", 2, "a"), third("CN3", 2))
	lumen := &standin.Family{Name: "Lumen", Title: "dial boards", Selector: []string{"A", "B", "C", "D"}, CodeLength: 3,
		Readback: []string{"P1", "P2", "P3", "P4"}, Procedure: "dial"}
	want := &standin.Dossier{
		CatalogueVersion: 12,
		State:            standin.State{Catalogue: 12, Stock: 3},
		Asked:            key,
		Model: standin.Model{
			ID: 1, ModelKey: key, Kind: "washer", Made: standin.Span{From: date(2000, 1, 1), To: date(2005, 12, 31)},
			Volts: standin.Known([]standin.VoltRange{{Low: 230, High: 230}}), Hertz: standin.Known([]float64{50}),
			SerialRule: &standin.SerialRule{Name: "year and week", Pattern: `^(?P<y2>\d\d)(?P<w>\d\d)`, YearBase: standin.Known(2000)},
		},
		Builds: []standin.Build{
			{
				Label: "b1", Made: standin.Span{From: date(2000, 1, 1), To: date(2002, 5, 31)}, RunOutDays: 60, SerialTo: "4999",
				PartNumber: "FX-1", Layout: layoutOf("wide harness", plug("J1", 10, "a"), j2), Needs: standin.Known([]string{"hot-valve"}),
			},
			{
				Label: "b2", Made: standin.Span{From: date(2002, 6, 1)}, SerialFrom: "5000", PartNumber: "LB-100", Revision: "A",
				Layout: layoutOf("split harness", plug("J1", 6, "a"), plug("J2", 2, "a"), third("J3", 2)),
				Needs:  standin.Known([]string{}), Source: "bulletin 7",
			},
		},
		Loads: []standin.Load{
			{Circuit: "heater", Watts: standin.Known(2000.0), Volts: standin.Known(230.0), Element: standin.ElementHeating},
			{Circuit: "motor"},
			{Build: "b2", Circuit: "heater", Watts: standin.Known(1800.0), Element: standin.ElementHeating},
		},
		Boards: []standin.Board{
			{PartNumber: "DR-1", Family: "Drum"},
			{PartNumber: "FX-1", Title: "fixed", Revisions: []standin.Revision{{Label: "1", Issue: standin.Known(1), Layout: wideBoard}}},
			{PartNumber: "FX-2"},
			{PartNumber: "FX-3"},
			{PartNumber: "LB-100", Family: "Lumen", Title: "Lumen control", GTIN: "96385074", Revisions: []standin.Revision{
				{
					Label: "A", Issue: standin.Known(1), Layout: wideBoard, Made: standin.Span{From: date(2000, 1, 1), To: date(2001, 12, 31)},
					Options: standin.Known([]string{}), VoltsMin: standin.Known(207.0), VoltsMax: standin.Known(253.0),
					Hertz: standin.Known([]float64{50}), Ratings: map[string]standin.Maybe[float64]{"heater": standin.Known(10.0), "motor": standin.Known(2.5), "pump": {}},
				},
				{
					Label: "B", Issue: standin.Known(2), Layout: splitBoard, Options: standin.Known([]string{"hot-valve", "sensor"}),
					Hertz: standin.Known([]float64{50, 60}), Procedure: "dial, late", Stop: "recalled",
				},
			}},
			{PartNumber: "LB-200", Family: "Lumen", Revisions: []standin.Revision{{Label: "A"}}},
		},
		Families: map[string]*standin.Family{"Lumen": lumen, "Drum": {Name: "Drum", Note: "a chip is moved over"}},
		Procedures: map[string]*standin.Procedure{
			"dial": {Name: "dial", Steps: []standin.Step{
				{Phase: standin.PhaseEnter, Step: 1, Do: "hold start", HoldSeconds: standin.Known(5.0), Expect: "all lit"},
				{Phase: standin.PhaseSymbol, Step: 1, Do: "turn and press", HoldSeconds: standin.Known(0.0), Expect: "one flash"},
				{Phase: standin.PhaseReadback, Step: 1, Do: "turn to the end"},
			}},
			"dial, late": {Name: "dial, late", Steps: []standin.Step{{Phase: standin.PhaseEnter, Step: 1, Do: "hold start", HoldSeconds: standin.Known(3.0)}}},
		},
		Configurations: []standin.Configuration{
			{Family: "Lumen", Model: key, IssueTo: standin.Known(1), Code: []string{"A", "B", "C"}, Pattern: "10f-", Source: "bulletin 7"},
			{Family: "Lumen", Model: key, IssueFrom: standin.Known(2), Code: []string{"A", "B", "D"}},
			{Family: "Lumen", Model: key, Build: "b2", Code: []string{"D", "D", "D"}, Pattern: "1111"},
		},
		Presets: []standin.Preset{{PartNumber: "LB-200", Build: "b2"}},
		Supersessions: []standin.Supersession{
			{Old: "FX-1", New: "FX-2", From: date(2003, 1, 1), Note: "redesigned"},
			{Old: "FX-2", New: "DR-1"},
			{Old: "FX-3", New: "FX-2", TwoWay: true},
		},
		Adaptors: []standin.Adaptor{
			{PartNumber: "AD-1", Title: "wide to three", Takes: layoutOf("wide plug", plug("P", 10, "a")),
				Gives: layoutOf("three plugs", plug("S1", 6, "a"), plug("S2", 2, "a"), third("S3", 3))},
			{PartNumber: "AD-2", Takes: layoutOf("odd plug", third("P", 3)),
				Gives: layoutOf("two plugs", standin.Connector{Marking: "S1", Ways: standin.Known(2)}, standin.Connector{Marking: "S2"})},
			// AD-2 gives a plug with nothing recorded, which may go into anything.
			{PartNumber: "AD-3", Title: "of another machine", Takes: layoutOf("other harness", standin.Connector{Marking: "J1", Ways: standin.Known(77)}),
				Gives: layoutOf("three plugs", plug("S1", 6, "a"), plug("S2", 2, "a"), third("S3", 3))},
		},
		Stock: []standin.Stock{
			{Location: "back", PartNumber: "DR-1", Condition: "refurbished"},
			{Location: "front", PartNumber: "LB-100", Condition: "used", Quantity: 1, Free: 1},
			{Location: "front", PartNumber: "LB-100", Revision: "B", Condition: "new", Quantity: 2, Free: 2},
			{Location: "front", PartNumber: "AD-1", Condition: "new", Quantity: 4, Free: 4},
		},
		OldParts: []standin.OldPart{
			{PartNumber: "FX-2", Kinds: []string{"washer"}},
			{PartNumber: "LB-100", Revision: "B", Layout: splitBoard, Family: "Lumen", Kinds: []string{"washer"}},
		},
	}
	slices.SortFunc(got.Supersessions, func(a, b standin.Supersession) int { return strings.Compare(a.Old+a.New, b.Old+b.New) })
	if diff := cmp.Diff(want, got, sameDossier); diff != "" {
		t.Errorf("the dossier differs (-want +got):\n%s", diff)
	}
	if got.Boards[1].Revisions[0].Layout != got.Boards[4].Revisions[0].Layout {
		t.Error("two revisions with one layout do not share it")
	}
}

// A first question for models whose boards are on more pages than are read beside
// (chooseNeighboursSQL) has all of them.
func TestDossiersOfManyPages(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	exec(t, db, `
		INSERT INTO models (id, brand, model) OVERRIDING SYSTEM VALUE SELECT n, 'Ondara', 'M' || n FROM generate_series(1, 12) n;
		INSERT INTO families (id, family, code_length) OVERRIDING SYSTEM VALUE SELECT n, 'F' || n, 0 FROM generate_series(1, 12) n;
		INSERT INTO configurations (model_id, family_id, code) SELECT n, n, '{}' FROM generate_series(1, 12) n;
		INSERT INTO parts (id, part_number, kind) OVERRIDING SYSTEM VALUE SELECT 256 * n + 1, 'P' || n, 'board' FROM generate_series(1, 12) n;
		INSERT INTO boards (part_id, family_id) SELECT 256 * n + 1, n FROM generate_series(1, 12) n`)
	var machines []standin.Machine
	for n := range 12 {
		machines = append(machines, machine("Ondara", fmt.Sprint("M", n+1), ""))
	}
	for n, d := range dossiers(t, db, machines...) {
		if want := fmt.Sprint("P", n+1); len(d.Boards) != 1 || d.Boards[0].PartNumber != want {
			t.Errorf("the boards of %s are %v, want %s", d.Model.ModelKey, d.Boards, want)
		}
	}
}
