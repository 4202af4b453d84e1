package standin

import (
	"slices"
	"strings"
)

// check is one check of fit: it compares a revision with a build, and gives its
// reason in a sentence.
type check struct {
	name    string
	looksAt aspect
	compare func(*evaluation, *trial) (Outcome, string)
}

// checksOfFit are the checks, in the order of the answer.
var checksOfFit = [...]check{
	{CheckStop, modelAlone, (*evaluation).checkStop},
	{CheckConfiguration, wholeBuild, (*evaluation).checkConfiguration},
	{CheckOptions, needsOfBuild, (*evaluation).checkOptions},
	{CheckSupply, modelAlone, (*evaluation).checkSupply},
	{CheckConnectors, wholeBuild, (*evaluation).checkConnectors},
	{CheckRatings, loadsOfBuild, (*evaluation).checkRatings},
}

// aspect is the part of a build that a check looks at. Builds that are alike in it
// have the same result, which is worked out once for each revision.
type aspect uint8

// The aspects. A check that also sets fields of the BuildAnswer looks at the
// whole build.
const (
	modelAlone aspect = iota // nothing of the build
	needsOfBuild
	loadsOfBuild // and its harness
	wholeBuild

	aspectCount
)

// firstAlike is, by aspect, the first of the builds that is alike in it.
type firstAlike [aspectCount]int

func (e *evaluation) firstAlike(build int) firstAlike {
	needs := e.builds[build].Needs
	return firstAlike{
		modelAlone: 0,
		needsOfBuild: slices.IndexFunc(e.builds, func(b Build) bool {
			return b.Needs.Known == needs.Known && slices.Equal(b.Needs.V, needs.V)
		}),
		loadsOfBuild: e.firstLoadedAlike(build),
		wholeBuild:   build,
	}
}

// firstLoadedAlike is the first build with the same loads on the same harness.
func (e *evaluation) firstLoadedAlike(build int) int {
	for i := range build {
		if e.builds[i].Layout == e.builds[build].Layout && slices.Equal(e.loads[i], e.loads[build]) {
			return i
		}
	}
	return build
}

// trial is one revision compared with one build.
type trial struct {
	board *Board
	rev   *Revision
	rated []string   // circuits that the revision has a rating of
	seats []*seating // by build
	place int        // of the build among the possible ones
	build *Build
	*BuildAnswer
}

// answers checks a revision against every possible build.
func (e *evaluation) answers(board *Board, rev *Revision) []BuildAnswer {
	answers := make([]BuildAnswer, len(e.builds))
	results := make([]CheckResult, len(e.checks)*len(answers))
	t := trial{board: board, rev: rev, rated: ratedCircuits(rev), seats: e.seatings.forAll(rev.Layout)}
	for i := range answers {
		t.place, t.build, t.BuildAnswer = i, &e.builds[i], &answers[i]
		t.Build, t.Family = e.names[i], board.Family
		t.Checks, results = results[:len(e.checks):len(e.checks)], results[len(e.checks):]
		for k := range e.checks {
			c := &e.checks[k]
			if first := e.alike[i][c.looksAt]; first < i {
				t.Checks[k] = answers[first].Checks[k]
				continue
			}
			outcome, reason := c.compare(e, &t)
			t.Checks[k] = CheckResult{c.name, outcome, reason}
		}
		t.Verdict = verdictFrom(t.Checks)
		t.Remarks = remarks(&t)
	}
	return answers
}

// verdictFrom returns No if any check fails, else Check if any is unknown, else Fits.
func verdictFrom(checks []CheckResult) Verdict {
	verdict := Fits
	for _, c := range checks {
		switch c.Outcome {
		case Fail:
			return No
		case Unknown:
			verdict = Check
		case Pass:
		}
	}
	return verdict
}

func (e *evaluation) checkStop(t *trial) (Outcome, string) {
	if t.rev.Stop != "" {
		return Fail, "must not be supplied: " + t.rev.Stop
	}
	return Pass, "no supply stop is recorded"
}

// checkOptions compares what the build needs with what the revision has.
func (e *evaluation) checkOptions(t *trial) (Outcome, string) {
	needs, has := t.build.Needs, t.rev.Options
	switch {
	case !needs.Known && !has.Known:
		return Unknown, "neither the options the build needs nor those of the board are recorded"
	case !needs.Known:
		return Unknown, "the options the build needs are not recorded; the board has " + wordList(has.V)
	case !has.Known:
		return Unknown, "the options of the board are not recorded; the build needs " + wordList(needs.V)
	}
	if lacks := lacking(needs.V, has.V); len(lacks) > 0 {
		return Fail, "the build needs " + wordList(lacks) + "; the board has " + wordList(has.V)
	}
	return Pass, "the build needs " + wordList(needs.V) + "; the board has " + wordList(has.V)
}

// checkSupply compares the supply of the model with what the revision is made for.
func (e *evaluation) checkSupply(t *trial) (Outcome, string) {
	m, rev := &e.dossier.Model, t.rev
	return worst(voltsHold(m.Volts, rev), hertzHolds(m.Hertz, rev.Hertz)),
		"model: " + e.supply + "; board: " + voltRangeText(rev.VoltsMin, rev.VoltsMax) + ", " + frequenciesText(rev.Hertz)
}

// checkConnectors is rule 5. It also sets which adaptors it takes, which headers
// could be confused and which plug goes where.
func (e *evaluation) checkConnectors(t *trial) (Outcome, string) {
	s := t.seats[t.place]
	t.Adaptors, t.Swappable, t.Connections = s.adaptors, s.swappable, s.connections
	return s.outcome, s.reason
}

// voltsHold reports whether every range that the plate states lies within what
// the revision is made for. An appliance marked with a range of rated voltage must
// work, and keep the limits of its power input, at both ends of the range
// (IEC 60335-1, clause 10.1 [M]), so it is the ends that are compared; taking
// the mean of a narrow range, as the clause does, concerns its power input alone.
func voltsHold(volts Maybe[[]VoltRange], rev *Revision) Outcome {
	low, high := rev.VoltsMin, rev.VoltsMax
	for _, r := range volts.V {
		if low.Known && r.Low < low.V || high.Known && r.High > high.V {
			return Fail
		}
	}
	if len(volts.V) == 0 || !low.Known || !high.Known {
		return Unknown
	}
	return Pass
}

// hertzHolds reports whether every frequency that the plate states is among the
// revision's own.
func hertzHolds(hertz, takes Maybe[[]float64]) Outcome {
	switch {
	case len(hertz.V) == 0 || !takes.Known:
		return Unknown
	case len(lacking(hertz.V, takes.V)) > 0:
		return Fail
	}
	return Pass
}

// lacking returns those needed that a board does not have.
func lacking[T comparable](needs, has []T) []T {
	var lacks []T
	for _, n := range needs {
		if !slices.Contains(has, n) {
			lacks = append(lacks, n)
		}
	}
	return lacks
}

func wordList(words []string) string {
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}

func supplyText(plate, unit string) string {
	if plate == "" {
		return "no" + unit + " recorded"
	}
	return plate + unit
}

func voltRangeText(low, high Maybe[float64]) string {
	switch {
	case low.Known && high.Known:
		return plain(low.V) + " to " + plain(high.V) + " V"
	case low.Known:
		return "from " + plain(low.V) + " V on (no upper limit recorded)"
	case high.Known:
		return "up to " + plain(high.V) + " V (no lower limit recorded)"
	}
	return "no V recorded"
}

func frequenciesText(takes Maybe[[]float64]) string {
	if !takes.Known {
		return "no Hz recorded"
	}
	words := make([]string, len(takes.V))
	for i, hz := range takes.V {
		words[i] = plain(hz)
	}
	return strings.Join(words, " or ") + " Hz"
}

// exceeds reports whether x is greater than limit. Both come from decimals, so a
// difference below one part in 10^12 is one of representation, not of values.
func exceeds(x, limit float64) bool { return x > limit*(1+1e-12) }
