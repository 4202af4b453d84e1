package standin

import (
	"slices"
	"strings"
)

// bench is what the checks of one dossier share. It is made for one Fit.
type bench struct {
	d        *Dossier
	builds   []Build // the possible ones
	supply   string  // of the model, as reasons say it
	chains   []map[string]int
	loads    [][]Load  // by build
	shared   []sharing // by build
	seatings *seatings

	revisions int // of all boards
}

// sharing is which of the builds, by place, is the first with the same loads and
// the first that needs the same options: checks of those hold for it too.
type sharing struct{ loads, needs int }

// trial is one revision judged for one build.
type trial struct {
	board *Board
	rev   *Revision
	place int // of the build among the possible ones
	build *Build
	*BuildAnswer
}

// judge makes the six checks of a revision for every possible build.
func (b *bench) judge(board *Board, rev *Revision) []BuildAnswer {
	stop, supply := checkStop(rev), b.checkSupply(rev) // the same for every build
	answers := make([]BuildAnswer, len(b.builds))
	checks := make([]CheckResult, 0, checkCount*len(answers))
	for i := range answers {
		j := trial{board, rev, i, &b.builds[i], &answers[i]}
		j.Build, j.Family = j.build.Label, board.Family
		seating := b.seatings.of(j.build.Layout, rev.Layout)
		j.Adaptors, j.Swappable = seating.adaptors, seating.swappable
		checks = append(checks, stop, b.checkConfiguration(&j), b.checkOptions(&j, checks), supply,
			CheckResult{CheckConnectors, seating.outcome, seating.reason}, b.checkRatings(&j, checks))
		j.Checks = checks[len(checks)-checkCount : len(checks) : len(checks)]
		j.Verdict = verdictFrom(j.Checks)
	}
	return answers
}

// verdictFrom is No if any check fails, else Check if any is unknown, else Fits.
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

func checkStop(rev *Revision) CheckResult {
	if rev.Stop != "" {
		return CheckResult{CheckStop, Fail, "must not be supplied: " + rev.Stop}
	}
	return CheckResult{CheckStop, Pass, "no supply stop is recorded"}
}

// checkOptions compares what the build needs with what the revision has. The
// checks already made, for the builds before, spare it where the needs are the same.
func (b *bench) checkOptions(j *trial, made []CheckResult) CheckResult {
	if same := b.shared[j.place].needs; same < j.place {
		return made[checkCount*same+2]
	}
	needs, has := j.build.Needs, j.rev.Options
	switch {
	case !needs.Known && !has.Known:
		return CheckResult{CheckOptions, Unknown, "neither the options the build needs nor those of the board are recorded"}
	case !needs.Known:
		return CheckResult{CheckOptions, Unknown, "the options the build needs are not recorded; the board has " + wordList(has.V)}
	case !has.Known:
		return CheckResult{CheckOptions, Unknown, "the options of the board are not recorded; the build needs " + wordList(needs.V)}
	}
	if lacks := lacking(needs.V, has.V); len(lacks) > 0 {
		return CheckResult{CheckOptions, Fail, "the build needs " + wordList(lacks) + "; the board has " + wordList(has.V)}
	}
	return CheckResult{CheckOptions, Pass, "the build needs " + wordList(needs.V) + "; the board has " + wordList(has.V)}
}

// checkSupply compares the supply of the model with what the revision is made for.
func (b *bench) checkSupply(rev *Revision) CheckResult {
	m := &b.d.Model
	return CheckResult{CheckSupply, worst(voltsHold(m.Volts, rev), hertzHolds(m.Hertz, rev.Hertz)),
		"model: " + b.supply + "; board: " + rangeSaid(rev.VoltsMin, rev.VoltsMax) + ", " + hertzSaid(rev.Hertz)}
}

func voltsHold(volts Maybe[float64], rev *Revision) Outcome {
	low, high := rev.VoltsMin, rev.VoltsMax
	switch {
	case volts.Known && low.Known && volts.V < low.V, volts.Known && high.Known && volts.V > high.V:
		return Fail
	case !volts.Known || !low.Known || !high.Known:
		return Unknown
	}
	return Pass
}

func hertzHolds(hertz Maybe[float64], takes Maybe[[]float64]) Outcome {
	switch {
	case !hertz.Known || !takes.Known:
		return Unknown
	case !slices.Contains(takes.V, hertz.V):
		return Fail
	}
	return Pass
}

// checkRatings compares what each load of the build draws with what the
// revision may switch. The checks already made, for the builds before, spare it
// where the loads are the same.
func (b *bench) checkRatings(j *trial, made []CheckResult) CheckResult {
	if same := b.shared[j.place].loads; same < j.place {
		return made[checkCount*same+5]
	}
	loads := b.loads[j.place]
	if len(loads) == 0 {
		return CheckResult{CheckRatings, Pass, "no load is recorded to check"}
	}
	outcome, said := Pass, make([]string, 0, len(loads))
	for i := range loads {
		o, reason := rated(&loads[i], b.d.Model.Volts, j.rev.Ratings)
		switch {
		case o == outcome:
			said = append(said, reason)
		case worst(o, outcome) == o:
			outcome, said = o, append(said[:0], reason)
		}
	}
	return CheckResult{CheckRatings, outcome, strings.Join(said, "; ")}
}

// rated is amps = watts / volts of a load against the rating of its circuit.
func rated(load *Load, supply Maybe[float64], ratings map[string]float64) (Outcome, string) {
	amps, drawn := load.amps(supply)
	limit, recorded := ratings[load.Circuit]
	switch {
	case !drawn && !recorded:
		return Unknown, load.Circuit + ": neither what it draws nor the rating of the board is recorded"
	case !drawn:
		return Unknown, load.Circuit + ": what it draws is not recorded; the board is rated " + plain(limit) + " A"
	case !recorded:
		return Unknown, load.Circuit + " draws " + rounded(amps, 2) + " A; the rating of the board is not recorded"
	case exceeds(amps, limit):
		return Fail, load.Circuit + " draws " + rounded(amps, 2) + " A; the board is rated " + plain(limit) + " A"
	}
	return Pass, load.Circuit + " draws " + rounded(amps, 2) + " A of " + plain(limit) + " A"
}

// volts are the load's own, else those of the supply.
func (l *Load) volts(supply Maybe[float64]) Maybe[float64] {
	if l.Volts.Known {
		return l.Volts
	}
	return supply
}

// amps is the rated current, where watts and volts are recorded.
func (l *Load) amps(supply Maybe[float64]) (float64, bool) {
	volts := l.volts(supply)
	if !l.Watts.Known || !volts.Known || volts.V <= 0 {
		return 0, false
	}
	return l.Watts.V / volts.V, true
}

// loadsOf are the loads of a build by circuit: one recorded for the build
// replaces one for all builds on the same circuit.
func loadsOf(loads []Load, build string) []Load {
	var of []Load
	for _, l := range loads {
		if l.Build == "" || l.Build == build {
			of = append(of, l)
		}
	}
	slices.SortStableFunc(of, func(a, b Load) int {
		if c := strings.Compare(a.Circuit, b.Circuit); c != 0 {
			return c
		}
		return -strings.Compare(a.Build, b.Build) // the build's own first
	})
	return slices.CompactFunc(of, func(a, b Load) bool { return a.Circuit == b.Circuit })
}

// lacking are the options needed that a board does not have.
func lacking(needs, has []string) []string {
	var lacks []string
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

func supplySaid(x Maybe[float64], unit string) string {
	if !x.Known {
		return "no" + unit + " recorded"
	}
	return plain(x.V) + unit
}

func rangeSaid(low, high Maybe[float64]) string {
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

func hertzSaid(takes Maybe[[]float64]) string {
	if !takes.Known {
		return "no Hz recorded"
	}
	words := make([]string, len(takes.V))
	for i, hz := range takes.V {
		words[i] = plain(hz)
	}
	return strings.Join(words, " or ") + " Hz"
}

// exceeds tells whether x is greater than limit. Both come from decimals, so a
// difference below one part in 10^12 is one of representation, not of values.
func exceeds(x, limit float64) bool { return x > limit*(1+1e-12) }
