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
