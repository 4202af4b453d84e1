package standin_test

import (
	"strings"
	"testing"

	"standin"
)

func TestChecks(t *testing.T) {
	t.Parallel()
	type dossier = *standin.Dossier
	rev := func(d dossier) *standin.Revision { return &d.Boards[0].Revisions[0] }
	known := standin.Known[float64]
	none := standin.Maybe[float64]{}
	for _, test := range []struct {
		name   string
		change func(dossier)
		check  string
		want   standin.Outcome
	}{
		{"stop", func(dossier) {}, standin.CheckStop, standin.Pass},
		{"stop with a reason", func(d dossier) { rev(d).Stop = "recalled" }, standin.CheckStop, standin.Fail},

		{"more options than needed", func(dossier) {}, standin.CheckOptions, standin.Pass},
		{"an option lacking", func(d dossier) { rev(d).Options.V = []string{"pump"} }, standin.CheckOptions, standin.Fail},
		{"needs not recorded", func(d dossier) { d.Builds[0].Needs.Known = false }, standin.CheckOptions, standin.Unknown},
		{"options not recorded", func(d dossier) { rev(d).Options = standin.Maybe[[]string]{} }, standin.CheckOptions, standin.Unknown},
		{"needs none", func(d dossier) { d.Builds[0].Needs.V = nil; rev(d).Options.V = nil }, standin.CheckOptions, standin.Pass},
		{"needs none, options not recorded", func(d dossier) { d.Builds[0].Needs.V = nil; rev(d).Options.Known = false },
			standin.CheckOptions, standin.Unknown},

		{"volts inside", func(dossier) {}, standin.CheckSupply, standin.Pass},
		{"volts at the least", func(d dossier) { d.Model.Volts = volts(207) }, standin.CheckSupply, standin.Pass},
		{"volts below", func(d dossier) { d.Model.Volts = volts(206.9) }, standin.CheckSupply, standin.Fail},
		{"volts at the most", func(d dossier) { d.Model.Volts = volts(253) }, standin.CheckSupply, standin.Pass},
		{"volts above", func(d dossier) { d.Model.Volts = volts(253.1) }, standin.CheckSupply, standin.Fail},
		{"volts not recorded", func(d dossier) { d.Model.Volts = volts() }, standin.CheckSupply, standin.Unknown},
		{"least volts not recorded", func(d dossier) { rev(d).VoltsMin = none }, standin.CheckSupply, standin.Unknown},
		{"most volts not recorded, the least conflicts", func(d dossier) { rev(d).VoltsMax = none; rev(d).VoltsMin = known(240) },
			standin.CheckSupply, standin.Fail},
		{"other hertz", func(d dossier) { d.Model.Hertz = standin.Known([]float64{400}) }, standin.CheckSupply, standin.Fail},
		{"hertz not recorded", func(d dossier) { rev(d).Hertz.Known = false }, standin.CheckSupply, standin.Unknown},
		{"hertz not recorded, volts conflict", func(d dossier) { d.Model.Hertz = standin.Maybe[[]float64]{}; d.Model.Volts = volts(115) },
			standin.CheckSupply, standin.Fail},

		{"draws just the rating", func(dossier) {}, standin.CheckRatings, standin.Pass},
		{"draws more", func(d dossier) { d.Loads[0].Watts = known(2300.1) }, standin.CheckRatings, standin.Fail},
		{"decimals that are equal", func(d dossier) {
			d.Loads[0].Watts, d.Model.Volts, rev(d).Ratings["heater"] = known(200.1), volts(230), known(0.87)
		}, standin.CheckRatings, standin.Pass},
		{"the load's own volts", func(d dossier) { d.Loads[0].Volts = known(115) }, standin.CheckRatings, standin.Fail},
		{"rating not recorded", func(d dossier) { rev(d).Ratings = nil }, standin.CheckRatings, standin.Unknown},
		{"watts not recorded", func(d dossier) { d.Loads[0].Watts = none }, standin.CheckRatings, standin.Unknown},
		{"no volts", func(d dossier) { d.Model.Volts = volts() }, standin.CheckRatings, standin.Unknown},
		{"a fail beats what is not recorded", func(d dossier) {
			d.Loads = append(d.Loads, standin.Load{Circuit: "pump"})
			rev(d).Ratings["heater"] = known(9)
		}, standin.CheckRatings, standin.Fail},
		{"the build's own load replaces", func(d dossier) {
			d.Loads = append(d.Loads, standin.Load{Build: "b1", Circuit: "heater", Watts: known(5000)})
		}, standin.CheckRatings, standin.Fail},
		{"another build's load does not", func(d dossier) {
			d.Loads = append(d.Loads, standin.Load{Build: "b2", Circuit: "heater", Watts: known(5000)})
		}, standin.CheckRatings, standin.Pass},
		{"no load recorded of a circuit that is rated and in the harness", func(d dossier) { d.Loads = nil }, standin.CheckRatings, standin.Unknown},
		{"no load recorded, the circuit rated is not in the harness", func(d dossier) {
			d.Loads = nil
			rev(d).Ratings = map[string]standin.Maybe[float64]{"pump": known(2)}
		}, standin.CheckRatings, standin.Pass},
		{"no load recorded, the circuits of a plug are not", func(d dossier) {
			d.Loads = nil
			rev(d).Ratings = map[string]standin.Maybe[float64]{"pump": known(2)}
			d.Builds[0].Layout = layout("harness", plug("CN1", 3), standin.Connector{Marking: "CN2"})
			rev(d).Layout = layout("board", plug("J1", 3), plug("J2", 1))
		}, standin.CheckRatings, standin.Unknown},
		{"a row without amps", func(d dossier) { rev(d).Ratings["heater"] = none }, standin.CheckRatings, standin.Unknown},
		{"no loads and no ratings", func(d dossier) { d.Loads, rev(d).Ratings = nil, nil }, standin.CheckRatings, standin.Pass},
		{"amps come before watts", func(d dossier) { d.Loads[0].Amps = known(10.1) }, standin.CheckRatings, standin.Fail},
		{"a motor that draws more at any power factor", func(d dossier) {
			d.Loads[0].Element, rev(d).Ratings["heater"] = standin.ElementMotor, known(9.9)
		}, standin.CheckRatings, standin.Fail},
		{"a motor that may draw more", func(d dossier) {
			d.Loads[0].Element, rev(d).Ratings["heater"] = standin.ElementMotor, known(19.9)
		}, standin.CheckRatings, standin.Unknown},
		{"a motor at half the power factor", func(d dossier) {
			d.Loads[0].Element, rev(d).Ratings["heater"] = standin.ElementMotor, known(20)
		}, standin.CheckRatings, standin.Pass},
		{"a motor with a power factor", func(d dossier) {
			d.Loads[0].Element, d.Loads[0].PowerFactor = standin.ElementMotor, known(0.8)
			rev(d).Ratings["heater"] = known(12.5)
		}, standin.CheckRatings, standin.Pass},
		{"the load of another position", func(d dossier) {
			d.Loads = append(d.Loads, standin.Load{Position: "display", Circuit: "lamp", Watts: known(5000)})
		}, standin.CheckRatings, standin.Pass},
		{"the lowest of several voltages", func(d dossier) { d.Model.Volts = volts(230, 115) }, standin.CheckRatings, standin.Fail},

		{"a range inside", func(d dossier) { d.Model.Volts.V[0] = standin.VoltRange{Low: 220, High: 240} }, standin.CheckSupply, standin.Pass},
		{"a range that reaches above", func(d dossier) { d.Model.Volts.V[0] = standin.VoltRange{Low: 220, High: 254} }, standin.CheckSupply, standin.Fail},
		{"a range that reaches below", func(d dossier) { d.Model.Volts.V[0] = standin.VoltRange{Low: 200, High: 240} }, standin.CheckSupply, standin.Fail},
		{"one of several ranges outside", func(d dossier) { d.Model.Volts = volts(230, 115) }, standin.CheckSupply, standin.Fail},
		{"both frequencies", func(d dossier) { d.Model.Hertz.V = []float64{50, 60} }, standin.CheckSupply, standin.Pass},
		{"one of both frequencies", func(d dossier) { d.Model.Hertz.V, rev(d).Hertz.V = []float64{50, 60}, []float64{50} },
			standin.CheckSupply, standin.Fail},
	} {
		d := simple()
		test.change(d)
		b := only(d)
		if got := outcome(b, test.check); got != test.want {
			t.Errorf("%s: %s %v; want %v", test.name, test.check, got, test.want)
		}
		want := map[standin.Outcome]standin.Verdict{standin.Pass: standin.Fits, standin.Unknown: standin.Check, standin.Fail: standin.No}
		if test.name != "no volts" && b.Verdict < want[test.want] {
			t.Errorf("%s: verdict %v, although %s is %v", test.name, b.Verdict, test.check, test.want)
		}
		for _, c := range b.Checks {
			if c.Reason == "" || strings.Contains(c.Reason, "  ") {
				t.Errorf("%s: %s has the reason %q", test.name, c.Check, c.Reason)
			}
		}
	}
}

func TestNoLoadIsSaid(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Loads = nil
	if b := only(d); !strings.Contains(strings.Join(reasons(b), " "), "no load is recorded") || b.Remarks != nil {
		t.Errorf("reasons %q, remarks %q; the reason must say that no load is recorded of the circuit that is rated", reasons(b), b.Remarks)
	}
	d.Boards[0].Revisions[0].Ratings = nil
	if b := only(d); len(b.Remarks) != 1 || !strings.Contains(b.Remarks[0], "nothing is recorded of loads and ratings") {
		t.Errorf("remarks %q; they must say that nothing was recorded to compare", b.Remarks)
	}
}

func reasons(b standin.BuildAnswer) (all []string) {
	for _, c := range b.Checks {
		all = append(all, c.Reason)
	}
	return all
}

func TestConfiguration(t *testing.T) {
	t.Parallel()
	one, two, three := standin.Known(1), standin.Known(2), standin.Known(3)
	type c = standin.Configuration
	code := func(s string) []string { return strings.Split(s, "") }
	for _, test := range []struct {
		name    string
		issue   standin.Maybe[int]
		records []c
		want    standin.Outcome
		code    string
	}{
		{"all issues", one, []c{{Code: code("AB")}}, standin.Pass, "AB"},
		{"below the range", one, []c{{IssueFrom: two, Code: code("AB")}}, standin.Fail, ""},
		{"first of the range", two, []c{{IssueFrom: two, IssueTo: three, Code: code("AB")}}, standin.Pass, "AB"},
		{"last of the range", three, []c{{IssueFrom: two, IssueTo: three, Code: code("AB")}}, standin.Pass, "AB"},
		{"above the range", three, []c{{IssueTo: two, Code: code("AB")}}, standin.Fail, ""},
		{"issue not recorded, open range", standin.Maybe[int]{}, []c{{Code: code("AB")}}, standin.Pass, "AB"},
		{"issue not recorded, bounded range", standin.Maybe[int]{}, []c{{IssueFrom: one, Code: code("AB")}}, standin.Unknown, "AB"},
		{"the build's own first", one, []c{{Code: code("AB")}, {Build: "b1", Code: code("BB")}}, standin.Pass, "BB"},
		{"the build's own does not hold", one, []c{{Code: code("AB")}, {Build: "b1", IssueFrom: two, Code: code("BB")}}, standin.Pass, "AB"},
		{"the build's own unknown before a pass", standin.Maybe[int]{}, []c{{Code: code("AB")}, {Build: "b1", IssueFrom: two, Code: code("BB")}},
			standin.Unknown, "BB"},
		{"another build's", one, []c{{Build: "b2", Code: code("AB")}}, standin.Fail, ""},
		{"another family's", one, []c{{Family: "G", Code: code("AB")}}, standin.Fail, ""},
		{"of two unknown the lower issues", standin.Maybe[int]{}, []c{{IssueFrom: three, Code: code("AB")}, {IssueFrom: one, IssueTo: two, Code: code("BB")}},
			standin.Unknown, "BB"},
	} {
		d := simple()
		d.Configurations = test.records
		for i := range d.Configurations {
			if d.Configurations[i].Family == "" {
				d.Configurations[i].Family = "F"
			}
		}
		d.Boards[0].Revisions[0].Issue = test.issue
		b := only(d)
		if got := outcome(b, standin.CheckConfiguration); got != test.want || strings.Join(b.Code, "") != test.code {
			t.Errorf("%s: %v, code %v; want %v, %s", test.name, got, b.Code, test.want, test.code)
		}
		if (b.Work == standin.NoWork) != (test.want == standin.Fail) {
			t.Errorf("%s: work %q with outcome %v", test.name, b.Work, test.want)
		}
	}
}

func TestOtherCodesOfAnUnrecordedIssueAreSaid(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Boards[0].Revisions[0].Issue = standin.Maybe[int]{}
	d.Configurations = []standin.Configuration{
		{Family: "F", IssueTo: standin.Known(2), Code: []string{"A", "B"}},
		{Family: "F", IssueFrom: standin.Known(3), Code: []string{"B", "B"}},
	}
	reason := only(d).Checks[1].Reason
	if !strings.Contains(reason, "another code is recorded for issues from 3 on") {
		t.Errorf("the reason is %q; it must say that the issue decides between two codes", reason)
	}
	d.Configurations[1].Code = []string{"A", "B"}
	if reason := only(d).Checks[1].Reason; strings.Contains(reason, "another code") {
		t.Errorf("the reason is %q, but the codes are the same", reason)
	}
}

func TestPresetAndFixed(t *testing.T) {
	t.Parallel()
	type dossier = *standin.Dossier
	fixed := func(d dossier) { d.Boards[0].Family = "" }
	for _, test := range []struct {
		name   string
		change func(dossier)
		want   standin.Outcome
		work   standin.Work
	}{
		{"preset for all builds", func(d dossier) { d.Presets = []standin.Preset{{PartNumber: "P1"}} }, standin.Pass, standin.AsPreset},
		{"preset for this build", func(d dossier) { d.Presets = []standin.Preset{{PartNumber: "P1", Build: "b1"}} }, standin.Pass, standin.AsPreset},
		{"preset for another build", func(d dossier) { d.Presets = []standin.Preset{{PartNumber: "P1", Build: "b2"}} }, standin.Pass, standin.Configure},
		{"preset of another part", func(d dossier) { d.Presets = []standin.Preset{{PartNumber: "P2"}} }, standin.Pass, standin.Configure},
		{"the fixed factory board", fixed, standin.Pass, standin.Fixed},
		{"a fixed board that supersedes it", func(d dossier) {
			fixed(d)
			d.Builds[0].PartNumber = "P0"
			d.Supersessions = []standin.Supersession{{Old: "P0", New: "P1"}}
		}, standin.Pass, standin.Fixed},
		{"a fixed board that it supersedes", func(d dossier) {
			fixed(d)
			d.Builds = append(d.Builds, standin.Build{Label: "b2", PartNumber: "P1"})
			d.Builds[0].PartNumber = "P2"
			d.Supersessions = []standin.Supersession{{Old: "P1", New: "P2"}}
		}, standin.Fail, standin.NoWork},
		{"a fixed board that only a preset names", func(d dossier) {
			fixed(d)
			d.Builds[0].PartNumber = "P0"
			d.Presets = []standin.Preset{{PartNumber: "P1"}}
		}, standin.Fail, standin.NoWork},
	} {
		d := simple()
		test.change(d)
		b := only(d)
		if got := outcome(b, standin.CheckConfiguration); got != test.want || b.Work != test.work {
			t.Errorf("%s: %v, work %q; want %v, %q", test.name, got, b.Work, test.want, test.work)
		}
		if b.Work != standin.Configure && (len(b.Code) > 0 || b.Pattern != "") {
			t.Errorf("%s: work %q with code %v, pattern %s", test.name, b.Work, b.Code, b.Pattern)
		}
	}
}
