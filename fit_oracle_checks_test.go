package standin_test

import (
	"slices"
	"strings"

	"standin"
)

// oracleBuild checks a revision against a build by rule 3.
func oracleBuild(d *standin.Dossier, board standin.Board, r standin.Revision, b standin.Build, connectors seated) buildOutcome {
	answer := buildOutcome{Build: b.Label, Checks: map[string]standin.Outcome{}}
	check := answer.Checks

	check[standin.CheckStop] = standin.Pass
	if r.Stop != "" {
		check[standin.CheckStop] = standin.Fail
	}
	check[standin.CheckConfiguration] = standin.Fail
	switch configuration := oracleConfiguration(d, board.Family, r, b); {
	case board.Family == "":
		if _, chained := distances(d, []standin.Build{b})[board.PartNumber]; chained {
			check[standin.CheckConfiguration], answer.Work = standin.Pass, standin.Fixed
		}
	case preset(d, board.PartNumber, b):
		check[standin.CheckConfiguration], answer.Work = standin.Pass, standin.AsPreset
		if configuration != nil && holds(*configuration, r) == standin.Pass {
			answer.Proof = strings.Join(configuration.Code, " ") + " shows " + string(configuration.Pattern)
		}
	case configuration != nil:
		check[standin.CheckConfiguration] = holds(*configuration, r)
		answer.Work = standin.Configure
		answer.Code, answer.Pattern = strings.Join(configuration.Code, " "), string(configuration.Pattern)
	}
	check[standin.CheckOptions] = oracleOptions(b, r)
	check[standin.CheckSupply] = oracleSupply(d.Model, r)
	check[standin.CheckConnectors] = connectors.outcome
	answer.Adaptors = strings.Join(connectors.adaptors, " ")
	check[standin.CheckRatings] = oracleRatings(d, b, r)

	answer.Verdict = standin.Fits
	for _, outcome := range check {
		switch {
		case outcome == standin.Fail:
			answer.Verdict = standin.No
		case outcome == standin.Unknown && answer.Verdict == standin.Fits:
			answer.Verdict = standin.Check
		}
	}
	return answer
}

func preset(d *standin.Dossier, part string, b standin.Build) bool {
	for _, p := range d.Presets {
		if p.PartNumber == part && (p.Build == b.Label || p.Build == "") {
			return true
		}
	}
	return false
}

// holds reports whether a configuration's range of issues holds the revision's.
func holds(c standin.Configuration, r standin.Revision) standin.Outcome {
	bounded := c.IssueFrom.Known || c.IssueTo.Known
	switch {
	case !bounded:
		return standin.Pass
	case !r.Issue.Known:
		return standin.Unknown
	case c.IssueFrom.Known && r.Issue.V < c.IssueFrom.V, c.IssueTo.Known && r.Issue.V > c.IssueTo.V:
		return standin.Fail
	}
	return standin.Pass
}

// oracleConfiguration returns the configuration that counts: the build's own before
// the one for all builds, a pass before an unknown, earlier issues before later.
func oracleConfiguration(d *standin.Dossier, family string, r standin.Revision, b standin.Build) *standin.Configuration {
	for _, build := range []string{b.Label, ""} {
		for _, wanted := range []standin.Outcome{standin.Pass, standin.Unknown} {
			var best *standin.Configuration
			for _, c := range d.Configurations {
				if c.Family == family && c.Build == build && holds(c, r) == wanted &&
					(best == nil || c.IssueFrom.Or(-1) < best.IssueFrom.Or(-1)) {
					best = &c
				}
			}
			if best != nil {
				return best
			}
		}
	}
	return nil
}

func oracleOptions(b standin.Build, r standin.Revision) standin.Outcome {
	if !b.Needs.Known || !r.Options.Known {
		return standin.Unknown
	}
	for _, need := range b.Needs.V {
		if !slices.Contains(r.Options.V, need) {
			return standin.Fail
		}
	}
	return standin.Pass
}

func oracleSupply(m standin.Model, r standin.Revision) standin.Outcome {
	unknown := len(m.Volts.V) == 0 || len(m.Hertz.V) == 0 || !r.VoltsMin.Known || !r.VoltsMax.Known || !r.Hertz.Known
	for _, rated := range m.Volts.V {
		for _, v := range []float64{rated.Low, rated.High} {
			if r.VoltsMin.Known && v < r.VoltsMin.V || r.VoltsMax.Known && v > r.VoltsMax.V {
				return standin.Fail
			}
		}
	}
	for _, hz := range m.Hertz.V {
		if r.Hertz.Known && !slices.Contains(r.Hertz.V, hz) {
			return standin.Fail
		}
	}
	if unknown {
		return standin.Unknown
	}
	return standin.Pass
}

// oracleRatings compares every circuit that a load or a rating names.
func oracleRatings(d *standin.Dossier, b standin.Build, r standin.Revision) standin.Outcome {
	result := standin.Pass
	for _, circuit := range circuitsNamed(d, r) {
		load := loadOn(d, circuit, b)
		limit, rated := r.Ratings[circuit]
		if load == nil && !(rated && mayCarry(b.Layout, circuit)) {
			continue
		}
		outcome := standin.Unknown
		if load != nil && limit.Known {
			least, most := mayDraw(*load, d.Model)
			switch {
			case least.Known && least.V > limit.V:
				outcome = standin.Fail
			case most.Known && most.V <= limit.V:
				outcome = standin.Pass
			}
		}
		if outcome == standin.Fail || result == standin.Pass {
			result = outcome
		}
		if result == standin.Fail {
			return result
		}
	}
	return result
}

func circuitsNamed(d *standin.Dossier, r standin.Revision) (names []string) {
	for _, l := range d.Loads {
		names = append(names, l.Circuit)
	}
	for circuit := range r.Ratings {
		names = append(names, circuit)
	}
	return names
}

// mayCarry reports whether a harness names a circuit, has a connector whose
// circuits are not recorded, or is not recorded itself.
func mayCarry(harness *standin.Layout, circuit string) bool {
	if harness == nil {
		return true
	}
	for _, c := range harness.Connectors {
		if !c.Circuits.Known || slices.Contains(c.Circuits.V, circuit) {
			return true
		}
	}
	return false
}

// loadOn is the load on a circuit: the build's own, else that of all builds.
func loadOn(d *standin.Dossier, circuit string, b standin.Build) *standin.Load {
	for _, build := range []string{b.Label, ""} {
		for i, l := range d.Loads {
			if l.Build == build && l.Circuit == circuit && place(l.Position) == place(b.Position) {
				return &d.Loads[i]
			}
		}
	}
	return nil
}

// mayDraw returns the least and the most, in amps, that a load may draw.
func mayDraw(l standin.Load, m standin.Model) (least, most standin.Maybe[float64]) {
	volts := l.Volts
	if !volts.Known {
		volts = lowestVolts(m)
	}
	switch {
	case l.Amps.Known:
		return l.Amps, l.Amps
	case !l.Watts.Known || !volts.Known:
		return least, most
	}
	apparent := l.Watts.V / volts.V
	switch {
	case l.Element != standin.ElementMotor:
		return standin.Known(apparent), standin.Known(apparent)
	case l.PowerFactor.Known:
		return standin.Known(apparent / l.PowerFactor.V), standin.Known(apparent / l.PowerFactor.V)
	}
	return standin.Known(apparent), standin.Known(2 * apparent)
}

// lowestVolts returns the lowest voltage that the plate of a model states.
func lowestVolts(m standin.Model) (lowest standin.Maybe[float64]) {
	for _, r := range m.Volts.V {
		if !lowest.Known || r.Low < lowest.V {
			lowest = standin.Known(r.Low)
		}
	}
	return lowest
}
