package standin_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// EN 50678:2020 (VDE 0701), protective conductor: 0.3 Ω up to 5 m, 0.1 Ω for
// each further 7.5 m begun, at most 1 Ω.
func TestProtectiveConductorOhms(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ metres, ohms float64 }{
		{0, 0.3}, {3, 0.3}, {5, 0.3}, {5.01, 0.4}, {12.5, 0.4}, {12.51, 0.5}, {20, 0.5}, {50, 0.9}, {57.5, 1.0}, {57.51, 1.0}, {80, 1.0},
	} {
		if got := standin.ProtectiveConductorOhms(test.metres); got != test.ohms {
			t.Errorf("%v m: %v Ω, want %v", test.metres, got, test.ohms)
		}
	}
}

// EN 50678:2020 (VDE 0701), insulation: 1 MΩ class I, 0.3 MΩ class I with
// heating elements, 2 MΩ class II.
func TestInsulations(t *testing.T) {
	t.Parallel()
	want := []standin.Insulation{
		{Class: "I", LeastMOhms: 1}, {Class: "I", Heating: true, LeastMOhms: 0.3}, {Class: "II", LeastMOhms: 2},
	}
	if diff := cmp.Diff(want, standin.Insulations()); diff != "" {
		t.Errorf("limits (-want +got):\n%s", diff)
	}
}

func TestAfterRepair(t *testing.T) {
	t.Parallel()
	none, watts := standin.Maybe[bool]{}, standin.Maybe[float64]{}
	limits := func(class string, heating standin.Maybe[bool], watts standin.Maybe[float64]) string {
		var all []string
		for _, c := range standin.AfterRepair(class, heating, watts) {
			if c.Test == "" || c.Source == "" || c.Limit == "" {
				t.Errorf("class %s: %+v says too little", class, c)
			}
			all = append(all, c.Class+" "+c.What+" "+c.Limit)
		}
		return strings.ReplaceAll(strings.Join(all, "; "), "\u00a0", " ")
	}
	for _, test := range []struct {
		class   string
		heating standin.Maybe[bool]
		watts   standin.Maybe[float64]
		has     []string
		hasNot  string
	}{
		{"I", standin.Known(true), standin.Known(6000.0), []string{"insulation resistance at least 0.3 MΩ", "at most 6 mA", "at most 0.3 Ω", "touch current at most 0.5 mA"}, "2 MΩ"},
		{"I", standin.Known(true), standin.Known(18000.0), []string{"at most 10 mA"}, "18 mA"},
		{"I", standin.Known(false), watts, []string{"at least 1 MΩ", "at most 3.5 mA"}, "0.3 MΩ"},
		{"II", none, watts, []string{"insulation resistance at least 2 MΩ", "touch current at most 0.5 mA"}, "conductor"},
		{"III", none, watts, []string{"at least 0.25 MΩ"}, "mA"},
		{"", none, watts, []string{"I protective conductor", "II insulation", "III insulation", "1 MΩ, with heating elements 0.3 MΩ", "1 mA a kilowatt"}, "?"},
	} {
		got := limits(test.class, test.heating, test.watts)
		for _, want := range test.has {
			if !strings.Contains(got, want) {
				t.Errorf("class %q: %s\nwant %s", test.class, got, want)
			}
		}
		if strings.Contains(got, test.hasNot) {
			t.Errorf("class %q: %s\nhas %s", test.class, got, test.hasNot)
		}
	}
}

// A heater that is recorded widens the limits; one that may be missing from the
// record, or whose watts are, does not.
func TestHeatingIsWhatIsRecorded(t *testing.T) {
	t.Parallel()
	known := standin.Known[float64]
	heater := func(build, position string, watts standin.Maybe[float64]) standin.Load {
		return standin.Load{Build: build, Position: position, Circuit: "heater " + build, Watts: watts, Element: standin.ElementHeating}
	}
	none := standin.Maybe[float64]{}
	for _, test := range []struct {
		name  string
		loads []standin.Load
		has   bool
		watts standin.Maybe[float64]
	}{
		{"nothing recorded", nil, false, none},
		{"a motor alone", []standin.Load{{Circuit: "motor", Element: standin.ElementMotor, Watts: known(200)}}, false, none},
		{"one heater", []standin.Load{heater("", "", known(2000))}, true, known(2000)},
		{"two heaters", []standin.Load{heater("", "", known(2000)), {Circuit: "dryer", Element: standin.ElementHeating, Watts: known(1900)}}, true, known(3900)},
		{"one of two without watts", []standin.Load{heater("", "", known(2000)), {Circuit: "dryer", Element: standin.ElementHeating}}, true, none},
		{"in one of two builds", []standin.Load{heater("b1", "", known(2000))}, false, none},
		{"the least of two builds", []standin.Load{heater("b1", "", known(2500)), heater("b2", "", known(2000))}, true, known(2000)},
		{"without watts in one of two builds", []standin.Load{heater("b1", "", known(2500)), heater("b2", "", none)}, true, none},
		{"switched by another board", []standin.Load{heater("", "motor", known(2000))}, true, known(2000)},
	} {
		d := &standin.Dossier{Loads: test.loads, Builds: []standin.Build{{Label: "b1"}, {Label: "b2"}}}
		got := standin.Fit(d, standin.Machine{}).Heating
		if got.Has.Known != test.has || got.Has.V != test.has || got.Watts != test.watts {
			t.Errorf("%s: %+v", test.name, got)
		}
	}
}
