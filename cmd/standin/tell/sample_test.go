package tell

import (
	"strings"

	"standin"
)

// The samples are invented: no brand, model or part number of them is anyone's.

var washer = standin.ModelKey{Brand: "Corvane", Model: "DW 640", Variant: "02"}

func sampleModel() standin.Model {
	return standin.Model{
		ModelKey: washer, Kind: "dishwasher",
		Made:  standin.Days(standin.NewDate(1999, 5, 1), standin.NewDate(2004, 12, 31)),
		Volts: standin.Known([]standin.VoltRange{{Low: 230, High: 230}}), Hertz: standin.Known([]float64{50}),
	}
}

func plugsOf(name string, ways ...int) *standin.Layout {
	l := &standin.Layout{Name: name}
	for i, n := range ways {
		l.Connectors = append(l.Connectors, standin.Connector{Marking: "P" + string(rune('1'+i)), Ways: standin.Known(n)})
	}
	return l
}

func sampleBuilds() []standin.Build {
	return []standin.Build{
		{
			Label: "b1", Made: standin.Days(standin.NewDate(1999, 5, 1), standin.NewDate(2001, 2, 28)), RunOutDays: 90,
			PartNumber: "QX-4410", Revision: "A", Layout: plugsOf("wide", 10, 3), Source: "Corvane service note 17",
		},
		{
			Label: "b2", Made: standin.Span{From: standin.Known(standin.NewDate(2001, 3, 1))}, SerialFrom: "2001090000",
			PartNumber: "QX-4410", Layout: plugsOf("split", 6, 2, 2, 3), Source: "Corvane service note 31",
		},
	}
}

func samplePrograms() (map[string]*standin.Family, map[string]*standin.Procedure) {
	hold := standin.Known(5.0)
	families := map[string]*standin.Family{
		"QX": {
			Name: "QX", Title: "Wash control with a dial", CodeLength: 3, Procedure: "dial",
			Selector: strings.Fields("A B C D E F G H"), Readback: strings.Fields("K1 K2 K3 K4 K5 K6 door salt"),
		},
		"SW": {Name: "SW", Title: "Control set by switches", Procedure: "switches"},
	}
	procedures := map[string]*standin.Procedure{
		"dial": {Name: "dial", Steps: []standin.Step{
			{Phase: standin.PhaseEnter, Step: 1, Do: "turn the dial to H and hold Start", HoldSeconds: hold, Expect: "all indicators flash"},
			{Phase: standin.PhaseSymbol, Step: 1, Do: "turn the dial to the first symbol and press Start", Expect: "one short flash"},
			{Phase: standin.PhaseSymbol, Step: 2, Do: "turn the dial to the second symbol and press Start"},
			{Phase: standin.PhaseFinish, Step: 1, Do: "switch off"},
			{Phase: standin.PhaseReadback, Step: 1, Do: "switch on with the door open and read the indicators", Expect: "steady light"},
		}},
		"switches": {Name: "switches", Steps: []standin.Step{
			{Phase: standin.PhaseEnter, Step: 1, Do: "set switches 1 to 4 as on the machine's wiring diagram"},
		}},
	}
	return families, procedures
}

// checks are those of a build, all passed but for the ones given.
func checks(but ...standin.CheckResult) []standin.CheckResult {
	all := []standin.CheckResult{
		{Check: standin.CheckStop, Outcome: standin.Pass, Reason: "nothing stops its supply"},
		{Check: standin.CheckConfiguration, Outcome: standin.Pass, Reason: "family QX has a code for this model, issue 1 and later"},
		{Check: standin.CheckOptions, Outcome: standin.Pass, Reason: "hot-valve is needed and fitted"},
		{Check: standin.CheckSupply, Outcome: standin.Pass, Reason: "230 V and 50 Hz lie within 207 to 253 V at 50 Hz"},
		{Check: standin.CheckConnectors, Outcome: standin.Pass, Reason: "every plug of harness wide has a header of its own"},
		{Check: standin.CheckRatings, Outcome: standin.Pass, Reason: "heater draws 8.7 A of 16 A"},
	}
	for _, b := range but {
		for i := range all {
			if all[i].Check == b.Check {
				all[i] = b
			}
		}
	}
	return all
}

func configured3(build string, verdict standin.Verdict, but ...standin.CheckResult) standin.BuildAnswer {
	return standin.BuildAnswer{
		Build: build, Verdict: verdict, Work: standin.Configure, Family: "QX", Procedure: "dial",
		Code: strings.Fields("C A F"), Pattern: "10-1f011", Checks: checks(but...), Source: "QX code chart, edition 4",
		Trust: &standin.Trust{Distance: standin.Known(1), Text: "One misread point can hide a wrong code."},
	}
}

func misfit(part, revision string, failed ...standin.CheckResult) standin.Candidate {
	return standin.Candidate{PartNumber: part, Revision: revision, Verdict: standin.No, Builds: []standin.BuildAnswer{
		{Build: "b1", Verdict: standin.No, Checks: checks(failed...)},
	}}
}

var (
	tooWeak  = standin.CheckResult{Check: standin.CheckRatings, Outcome: standin.Fail, Reason: "heater draws 10.9 A, more than the 10 A that revision A carries"}
	recalled = standin.CheckResult{Check: standin.CheckStop, Outcome: standin.Fail, Reason: "recalled: the relay for the heater may weld shut"}
	noCode   = standin.CheckResult{Check: standin.CheckConfiguration, Outcome: standin.Fail, Reason: "family QX has no code for Corvane DW 640 / 02 at issue 1"}
	unread   = standin.CheckResult{Check: standin.CheckOptions, Outcome: standin.Unknown, Reason: "the build needs hot-valve, but the options of revision C are not recorded"}
	noRating = standin.CheckResult{Check: standin.CheckRatings, Outcome: standin.Unknown, Reason: "heater draws 8.7 A, but what revision C carries is not recorded"}
)

func sampleAnswer(builds []standin.Build, candidates ...standin.Candidate) *standin.Answer {
	families, procedures := samplePrograms()
	return &standin.Answer{
		Machine: standin.Machine{ModelKey: washer}, Model: sampleModel(), CatalogueVersion: 12,
		Builds: builds, Candidates: candidates, Families: families, Procedures: procedures,
		BeforeFitting: []standin.Precheck{
			{
				Circuit: "heater", Builds: []string{"b1"}, Text: "measure across the heater's terminals with one lead off; cold it may read a little lower",
				OhmsLow: standin.Known(25.19), OhmsHigh: standin.Known(29.39), Amps: standin.Known(8.695), Source: "IEC 60335-1, 10.1",
			},
			{Circuit: "drain-pump", Builds: []string{"b1", "b2"}, Text: "turn the impeller by hand; it must move freely", Amps: standin.Known(0.13)},
			{Circuit: "inlet-valve", Text: "look for a short between its terminals"},
		},
		Cautions: []string{
			"Isolate the machine and prove it dead before anything is touched",
			"Photograph or label the plugs before the first is pulled",
		},
	}
}
