package standin_test

import (
	"strings"
	"testing"

	"standin"
)

// A board supplied already set has the code and the pattern it was set to, and of
// its procedure nothing but the read-back.
func TestJobOfPreset(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Presets = []standin.Preset{{PartNumber: "P1"}}
	d.Procedures["P"].Steps = []standin.Step{{Phase: standin.PhaseEnter, Step: 1}, {Phase: standin.PhaseReadback, Step: 1}}
	j, err := jobOf(d, "")
	if err != nil {
		t.Fatal(err)
	}
	if j.Work != standin.AsPreset || strings.Join(j.Code, "") != "AB" || j.Pattern != "10" || !j.Provable() || !j.NeedsProof() {
		t.Errorf("the job is %+v", j)
	}
	if steps := j.Steps(); len(steps) != 1 || steps[0].Phase != standin.PhaseReadback {
		t.Errorf("steps: %+v, want the read-back alone", steps)
	}
	d.Configurations = nil
	if j, err = jobOf(d, ""); err != nil || j.ReadsBack() || j.Provable() || !j.NeedsProof() {
		t.Errorf("without a code: %+v, %v", j, err)
	}
}

// What is set by hand is set with the machine isolated; it is proved under power.
func TestJobLive(t *testing.T) {
	t.Parallel()
	for method, entering := range map[standin.Method]bool{"": true, standin.MethodSelector: true, standin.MethodTool: true, standin.MethodContactless: true,
		standin.MethodSwitches: false, standin.MethodJumpers: false, standin.MethodResistor: false, standin.MethodChip: false} {
		d := simple()
		d.Families["F"].Method = method
		j, err := jobOf(d, "")
		if err != nil {
			t.Fatal(err)
		}
		for phase, want := range map[standin.Phase]bool{standin.PhaseEnter: entering, standin.PhaseSymbol: entering, standin.PhaseFinish: true, standin.PhaseReadback: true} {
			if j.Live(phase) != want {
				t.Errorf("%q, %s: live is %t, want %t", method, phase, j.Live(phase), want)
			}
		}
	}
}

// What a meter must show of a resistor is said where it can be read, and never a
// window that is not recorded.
func TestResistorToMeasure(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		method standin.Method
		code   string
		place  int
		want   string
	}{
		{standin.MethodResistor, "4K7J", 0, "4.7\u00a0kΩ ±\u00a05\u00a0%, 4465 to 4935\u00a0Ω"},
		{standin.MethodResistor, "4k7", 0, "4.7\u00a0kΩ"},
		{standin.MethodResistor, "blue", 0, ""},
		{standin.MethodResistor, "4K7J", 1, ""},
		{standin.MethodResistor, "4K7J", -1, ""},
		{standin.MethodSwitches, "4K7J", 0, ""},
	} {
		j := &standin.Job{Family: &standin.Family{Method: tt.method}, Code: []string{tt.code}}
		if got := j.ToMeasure(tt.place); got != tt.want {
			t.Errorf("%s %s at %d: %q; want %q", tt.method, tt.code, tt.place, got, tt.want)
		}
	}
}
