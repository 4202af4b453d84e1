package standin_test

import (
	"math"
	"strings"
	"testing"

	"standin"
)

const none = -1 // no limit

func limit(m standin.Maybe[float64]) float64 { return m.Or(none) }

func near(a, b, within float64) bool { return math.Abs(a-b) <= within }

// IEC 60335-1 clause 10.1, table 1, with both sides of every boundary.
func TestPowerLimits(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		element   standin.Element
		watts     float64
		low, high float64
	}{
		{standin.ElementHeating, 20, none, 24}, {standin.ElementHeating, 25, none, 30},
		{standin.ElementHeating, 26, 23.4, 28.6}, {standin.ElementHeating, 150, 135, 165},
		{standin.ElementHeating, 200, 180, 220}, {standin.ElementHeating, 201, 180.9, 221},
		{standin.ElementHeating, 300, 270, 320}, {standin.ElementHeating, 400, 360, 420},
		{standin.ElementHeating, 2000, 1800, 2100},
		{standin.ElementMotor, 25, none, 30}, {standin.ElementMotor, 26, none, 31.2},
		{standin.ElementMotor, 300, none, 360}, {standin.ElementMotor, 301, none, 361},
		{standin.ElementMotor, 350, none, 410}, {standin.ElementMotor, 400, none, 460},
		{standin.ElementMotor, 700, none, 805},
		{standin.ElementOther, 20, none, 24}, {standin.ElementOther, 500, none, none},
	} {
		low, high := standin.PowerLimits(test.element, test.watts)
		if !near(limit(low), test.low, 1e-9) || !near(limit(high), test.high, 1e-9) {
			t.Errorf("%s %v W: %v … %v; want %v … %v", test.element, test.watts, limit(low), limit(high), test.low, test.high)
		}
	}
}

// R = V² / P with the deviation of IEC 60335-1 clause 10.1, computed by hand for
// 230 V (IEC 60038).
func TestHeaterOhms(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ watts, low, high float64 }{
		{2000, 25.19, 29.39}, {2500, 20.15, 23.51}, {1000, 50.38, 58.78}, {800, 62.98, 73.47}, {25, 1763.33, none},
	} {
		low, high := standin.HeaterOhms(test.watts, 230)
		if !near(limit(low), test.low, 0.005) || !near(limit(high), test.high, 0.005) {
			t.Errorf("%v W: %v … %v Ω; want %v … %v", test.watts, limit(low), limit(high), test.low, test.high)
		}
	}
}

func TestBeforeFitting(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Builds = []standin.Build{{Label: "b1"}, {Label: "b2"}}
	d.Loads = []standin.Load{
		{Circuit: "heater", Watts: standin.Known(2000.0), Element: standin.ElementHeating},
		{Build: "b2", Circuit: "heater", Watts: standin.Known(2500.0), Element: standin.ElementHeating},
		{Circuit: "pump", Watts: standin.Known(30.0), Volts: standin.Known(12.0), PowerFactor: standin.Known(0.8), Element: standin.ElementMotor},
		{Circuit: "valve"},
	}
	checks := standin.Fit(d, standin.Machine{}).BeforeFitting
	want := []struct {
		circuit         string
		builds          int
		amps, low, high float64
	}{
		{"heater", 1, 8.70, 25.19, 29.39}, {"heater", 1, 10.87, 20.15, 23.51}, {"pump", 2, 3.125, none, none}, {"valve", 2, none, none, none},
	}
	if len(checks) != len(want) {
		t.Fatalf("%d checks, want %d: %+v", len(checks), len(want), checks)
	}
	for i, w := range want {
		c := checks[i]
		if c.Circuit != w.circuit || len(c.Builds) != w.builds || !near(limit(c.Amps), w.amps, 0.005) ||
			!near(limit(c.OhmsLow), w.low, 0.005) || !near(limit(c.OhmsHigh), w.high, 0.005) {
			t.Errorf("check %d is %+v; want %+v", i, c, w)
		}
	}
}

// What is asked for can be measured on an isolated machine: ohms, to three digits,
// for copper at room temperature; only what can turn must turn freely.
func TestMeasurementsThatCanBeMade(t *testing.T) {
	t.Parallel()
	known := standin.Known[float64]
	for _, test := range []struct {
		load standin.Load
		want string
	}{
		{standin.Load{Circuit: "heater", Watts: known(2000), Element: standin.ElementHeating},
			"machine isolated: measure heater (2000 W at 230 V) at its terminals and subtract the leads; expect 25.2 to 29.4 Ω hot, a little less cold, and no path to earth"},
		{standin.Load{Circuit: "motor", OhmsLow: known(12), OhmsHigh: known(14), AtCelsius: known(80), Element: standin.ElementMotor},
			"machine isolated: measure motor at its terminals and subtract the leads; expect 9.71 to 11.3 Ω at 20 °C, and no path to earth; it must turn freely"},
		{standin.Load{Circuit: "probe", OhmsLow: known(4700), OhmsHigh: known(5170), AtCelsius: known(25)},
			"machine isolated: measure probe at its terminals and subtract the leads; expect 4700 to 5170 Ω at 25 °C, and no path to earth"},
		{standin.Load{Circuit: "pump", Watts: known(30), Element: standin.ElementMotor},
			"machine isolated: check pump (30 W at 230 V) for a short and for a path to earth; it must turn freely"},
		{standin.Load{Circuit: "valve", Amps: known(0.1)}, "machine isolated: check valve for a short and for a path to earth"},
	} {
		d := simple()
		d.Loads = []standin.Load{test.load}
		checks := standin.Fit(d, standin.Machine{}).BeforeFitting
		if len(checks) != 1 || checks[0].Text != test.want {
			t.Errorf("%s: %+v\nwant %s", test.load.Circuit, checks, test.want)
		}
	}
	// 12 Ω at 80 °C: the same figure by the fraction (234.5 + 20) / (234.5 + 80) of
	// IEC 60034-1 for copper, from memory.
	if got, want := standin.CopperOhms(12, 80, 20), 12*(234.5+20)/(234.5+80); !near(got, want, 0.005) {
		t.Errorf("12 Ω of copper at 80 °C are %v Ω at 20 °C; want %v", got, want)
	}
}

func TestCautionsByKind(t *testing.T) {
	t.Parallel()
	for kind, want := range map[string]string{"tumble dryer": "flammable refrigerant", "Washing machine": "inverter", "gas hob": "licensed for gas"} {
		d := simple()
		if all := strings.Join(standin.Fit(d, standin.Machine{}).Cautions, " "); strings.Contains(all, want) {
			t.Errorf("%q is cautioned against in a machine of no kind", want)
		}
		d.Model.Kind = kind
		if all := strings.Join(standin.Fit(d, standin.Machine{}).Cautions, " "); !strings.Contains(all, want) || !strings.Contains(all, "seal") {
			t.Errorf("%s: %s; want a caution with %q and one about seals", kind, all, want)
		}
	}
}
