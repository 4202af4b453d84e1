package standin_test

import (
	"slices"
	"strings"

	"standin"
)

// oracleBuild is rule 3.
func oracleBuild(d *standin.Dossier, board standin.Board, r standin.Revision, b standin.Build) judgedBuild {
	answer := judgedBuild{Build: b.Label, Checks: map[string]standin.Outcome{}}
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
	case configuration != nil:
		check[standin.CheckConfiguration] = holds(*configuration, r)
		answer.Work = standin.Configure
		answer.Code, answer.Pattern = strings.Join(configuration.Code, " "), string(configuration.Pattern)
	}
	check[standin.CheckOptions] = oracleOptions(b, r)
	check[standin.CheckSupply] = oracleSupply(d.Model, r)
	var adaptors []string
	check[standin.CheckConnectors], adaptors = oracleConnectors(d, b.Layout, r.Layout)
	answer.Adaptors = strings.Join(adaptors, " ")
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

// oracleConfiguration is the one that counts: the build's own before the one for
// all builds, a pass before an unknown, the earlier issues before the later.
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

func oracleRatings(d *standin.Dossier, b standin.Build, r standin.Revision) standin.Outcome {
	result := standin.Pass
	for _, load := range d.Loads {
		if load.Build != "" && load.Build != b.Label || load.Build == "" && replaced(d, load.Circuit, b) {
			continue
		}
		volts := load.Volts
		if !volts.Known {
			volts = lowestVolts(d.Model)
		}
		limit := r.Ratings[load.Circuit]
		amps, rated := limit.V, limit.Known
		switch {
		case !load.Watts.Known || !volts.Known || !rated:
			if result == standin.Pass {
				result = standin.Unknown
			}
		case load.Watts.V/volts.V > amps:
			result = standin.Fail
		}
	}
	return result
}

// replaced reports whether the build has its own load on the circuit.
func replaced(d *standin.Dossier, circuit string, b standin.Build) bool {
	for _, load := range d.Loads {
		if b.Label != "" && load.Build == b.Label && load.Circuit == circuit {
			return true
		}
	}
	return false
}

// lowestVolts are the lowest volts that the plate of a model states.
func lowestVolts(m standin.Model) (lowest standin.Maybe[float64]) {
	for _, r := range m.Volts.V {
		if !lowest.Known || r.Low < lowest.V {
			lowest = standin.Known(r.Low)
		}
	}
	return lowest
}
