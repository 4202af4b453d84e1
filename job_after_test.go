package standin_test

import (
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
