package sheet_test

import (
	"fmt"
	"strings"
	"testing"

	"standin"
	"standin/api/sheet"
)

// sample is an invented job that has something of everything.
func sample(t testing.TB) *sheet.Sheet {
	t.Helper()
	return sheetOf(t, dossier(), standin.Machine{Serial: "4410 2231", Plug: []int{6, 2}, OldPart: "70-1001"})
}

// sheetOf is the sheet for the one board of a dossier.
func sheetOf(t testing.TB, d *standin.Dossier, m standin.Machine) *sheet.Sheet {
	t.Helper()
	a := standin.Fit(d, m)
	if len(a.Candidates) == 0 {
		t.Fatalf("no candidate: %+v", a.Contradiction)
	}
	j, err := a.Job(a.Candidates[0].PartNumber, a.Candidates[0].Revision)
	if err != nil {
		t.Fatal(err)
	}
	s := &sheet.Sheet{Job: j, Bench: "http://192.0.2.7:8470/bench?brand=Wexcombe&model=DW+410&part_number=70-1002&revision=B"}
	if j.ReadsBack() && j.Pattern != "" {
		trust := family(d).Table.Trust(j.Code, j.Pattern)
		j.Trust = &trust
	}
	return s
}

// family is the family of the dossiers made ready, with the configurations of one.
func family(d *standin.Dossier) *standin.PreparedFamily {
	return standin.PrepareFamily(standin.FamilyRecord{Family: *d.Families["Curlew"], Configurations: d.Configurations}, 12)
}

func dossier() *standin.Dossier {
	key := standin.ModelKey{Brand: "Wexcombe", Model: "DW 410", Variant: "4410 02"}
	other := standin.ModelKey{Brand: "Wexcombe", Model: "DW 500"}
	harness := &standin.Layout{Name: "three plugs", Connectors: []standin.Connector{
		connector("CN1", 5, "A", "live", ".", "neutral"),
		connector("CN2", 5, "B", "heater", "heater-n", "pump", "pump-n", "drain", "drain-n"),
		connector("CN4", 5, "D", "inlet", "inlet-n"), connector("CN5", 5, "D", "dispenser", "dispenser-n"),
	}}
	steps := []standin.Step{
		{Phase: standin.PhaseEnter, Step: 1, Do: "Close the panel before the machine is plugged in: the board is at mains potential. Turn the dial to 12 and close the door", Expect: "Nothing is lit"},
		{Phase: standin.PhaseEnter, Step: 2, Do: "Hold Start and Delay together while switching on", HoldSeconds: standin.Known(5.0), Expect: "All indicators light once, then End flashes"},
		{Phase: standin.PhaseFinish, Step: 1, Do: "Hold Start to confirm", HoldSeconds: standin.Known(2.0), Expect: "All indicators go out, then End lights for about a second"},
		{Phase: standin.PhaseReadback, Step: 1, Do: "Turn the dial to 1, hold Delay and switch on", Expect: "The indicators show the read-back"},
	}
	for i := range 4 {
		steps = append(steps, standin.Step{Phase: standin.PhaseSymbol, Step: i + 1, Do: fmt.Sprintf("Turn the dial to number %d and press Start", i+1), Expect: "One indicator more lights"})
	}
	family := &standin.Family{
		Name: "Curlew", Selector: strings.Fields("1 2 3 4 5 6 7 8 9 10 11 12"), CodeLength: 4, Procedure: "curlew dial",
		Readback: strings.Fields("Prewash Wash Rinse Dry End Salt Rinse-aid Half Eco Delay"),
	}
	return &standin.Dossier{
		CatalogueVersion: 12, Asked: key,
		Model: standin.Model{ModelKey: key, Volts: standin.Known([]standin.VoltRange{{Low: 230, High: 230}}), Hertz: standin.Known([]float64{50})},
		Builds: []standin.Build{{Label: "b2", PartNumber: "70-1001", Layout: harness, Needs: standin.Known([]string{}),
			Source: "parts list 8"}},
		Loads: []standin.Load{
			{Circuit: "heater", Watts: standin.Known(2000.0), Element: standin.ElementHeating},
			{Circuit: "pump", Watts: standin.Known(80.0), Element: standin.ElementMotor},
			{Circuit: "drain", Element: standin.ElementMotor},
		},
		Boards: []standin.Board{{PartNumber: "70-1002", Family: "Curlew", Title: "Dishwasher control, four plugs",
			Revisions: []standin.Revision{{Label: "B", Issue: standin.Known(2), Layout: harness, Options: standin.Known([]string{}),
				VoltsMin: standin.Known(207.0), VoltsMax: standin.Known(253.0), Hertz: standin.Known([]float64{50}),
				Ratings: map[string]standin.Maybe[float64]{"heater": standin.Known(12.0), "pump": standin.Known(2.0)}}}}},
		Families:   map[string]*standin.Family{"Curlew": family},
		Procedures: map[string]*standin.Procedure{"curlew dial": {Name: "curlew dial", Steps: steps}},
		Configurations: []standin.Configuration{
			{Family: "Curlew", Model: key, Code: strings.Fields("7 2 5 11"), Pattern: "10f-011010", Source: "bulletin 7"},
			{Family: "Curlew", Model: other, Build: "not this one", Code: strings.Fields("7 2 5 12"), Pattern: "10f-011001", Source: "bulletin 7"},
		},
		OldParts: []standin.OldPart{{PartNumber: "70-1001"}},
	}
}

func connector(marking string, pitch float64, key string, circuits ...string) standin.Connector {
	return standin.Connector{Marking: marking, Ways: standin.Known(len(circuits)), PitchMM: standin.Known(pitch),
		Key: standin.Known(key), Circuits: standin.Known(circuits)}
}
