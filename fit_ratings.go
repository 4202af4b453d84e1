package standin

import (
	"slices"
	"strings"
)

// leastPowerFactor is assumed for a motor whose power factor is not recorded, to
// work out the most it may draw: common practice, not from a standard.
const leastPowerFactor = 0.5

// nothingRated is the remark where neither loads nor ratings are recorded.
const nothingRated = "nothing is recorded of loads and ratings, so what the circuits draw was not compared with what the board may switch"

// mayCarry reports whether a harness may carry a circuit: it names the circuit, or
// the circuits of a connector, or the harness itself, are not recorded.
func (l *Layout) mayCarry(circuit string) bool {
	if l == nil {
		return true
	}
	for i := range l.Connectors {
		if c := &l.Connectors[i]; !c.Circuits.Known || slices.Contains(c.Circuits.V, circuit) {
			return true
		}
	}
	return false
}

// checkRatings compares what each circuit draws with what the revision may
// switch: the circuits with a load of the build, and those for which the revision
// has a rating and which the harness may carry.
func (e *evaluation) checkRatings(t *trial) (Outcome, string) {
	outcome, said := Pass, make([]string, 0, len(e.loads[t.place]))
	compared := func(o Outcome, reason string) {
		switch {
		case o == outcome:
			said = append(said, reason)
		case worst(o, outcome) == o:
			outcome, said = o, append(said[:0], reason)
		}
	}
	loads, supply := e.loads[t.place], lowest(e.dossier.Model.Volts)
	for i := range loads {
		compared(rated(&loads[i], supply, t.rev.Ratings[loads[i].Circuit]))
	}
	for _, circuit := range t.rated {
		loaded := slices.ContainsFunc(loads, func(l Load) bool { return l.Circuit == circuit })
		if !loaded && t.build.Layout.mayCarry(circuit) {
			compared(Unknown, circuit+": no load is recorded; "+ratingText(t.rev.Ratings[circuit]))
		}
	}
	if len(said) == 0 {
		return Pass, nothingRated
	}
	return outcome, strings.Join(said, "; ")
}

// remarks says what was not compared because nothing is recorded, and where the
// board is recorded for another position than the build's.
func remarks(t *trial) []string {
	var all []string
	for i := range t.Checks {
		if c := &t.Checks[i]; c.Check == CheckRatings && c.Outcome == Pass && c.Reason == nothingRated {
			all = append(all, nothingRated)
		}
	}
	if at := t.board.Position; at != "" && positionName(at) != positionName(t.build.Position) {
		all = append(all, "the board is recorded as that of position "+positionName(at)+", the build is about position "+positionName(t.build.Position))
	}
	return all
}

// ratedCircuits returns the circuits for which a revision has a rating, in order.
func ratedCircuits(rev *Revision) []string {
	circuits := make([]string, 0, len(rev.Ratings))
	for circuit := range rev.Ratings {
		circuits = append(circuits, circuit)
	}
	slices.Sort(circuits)
	return circuits
}

// rated compares the least and the most that a load may draw with the rating of
// its circuit.
func rated(load *Load, supply, rating Maybe[float64]) (Outcome, string) {
	least, most, drawn := load.draws(supply)
	limit, recorded := rating.Get()
	if drawn && recorded && !exceeds(most, limit) { // as most are
		return Pass, load.Circuit + " draws " + drawnAmps(least, most) + " A of " + plain(limit) + " A"
	}
	said := load.Circuit + " draws " + drawnAmps(least, most) + " A"
	switch {
	case !drawn && !recorded:
		return Unknown, load.Circuit + ": neither what it draws nor the rating of the board is recorded"
	case !drawn:
		return Unknown, load.Circuit + ": what it draws is not recorded; " + ratingText(rating)
	case !recorded:
		return Unknown, said + "; " + ratingText(rating)
	case exceeds(least, limit):
		return Fail, said + "; " + ratingText(rating)
	}
	return Unknown, said + ", for its power factor is not recorded; " + ratingText(rating)
}

func drawnAmps(least, most float64) string {
	if least == most {
		return rounded(least, 2)
	}
	return rounded(least, 2) + " to " + rounded(most, 2)
}

func ratingText(rating Maybe[float64]) string {
	if !rating.Known {
		return "the rating of the board is not recorded"
	}
	return "the board is rated " + plain(rating.V) + " A"
}

// volts returns the load's own voltage, else that of the supply.
func (l *Load) volts(supply Maybe[float64]) Maybe[float64] {
	if l.Volts.Known {
		return l.Volts
	}
	return supply
}

// amps returns watts over volts, where both are recorded.
func (l *Load) amps(supply Maybe[float64]) (float64, bool) {
	volts := l.volts(supply)
	if !l.Watts.Known || !volts.Known || volts.V <= 0 {
		return 0, false
	}
	return l.Watts.V / volts.V, true
}

// draws returns the least and the most that a load may draw in amps: as recorded,
// else worked out from watts and volts and, for a motor, the power factor.
func (l *Load) draws(supply Maybe[float64]) (least, most float64, known bool) {
	if amps, ok := l.Amps.Get(); ok {
		return amps, amps, true
	}
	amps, known := l.amps(supply)
	if l.Element != ElementMotor {
		return amps, amps, known
	}
	if factor, ok := l.PowerFactor.Get(); ok && factor > 0 {
		return amps / factor, amps / factor, known
	}
	return amps, amps / leastPowerFactor, known
}

// loadsOf returns the loads of a build and its position, by circuit. One recorded
// for the build replaces one for all builds on the same circuit.
func loadsOf(loads []Load, b *Build) []Load {
	var own []Load
	for _, l := range loads {
		if (l.Build == "" || l.Build == b.Label) && positionName(l.Position) == positionName(b.Position) {
			own = append(own, l)
		}
	}
	slices.SortStableFunc(own, func(a, b Load) int {
		if c := strings.Compare(a.Circuit, b.Circuit); c != 0 {
			return c
		}
		return -strings.Compare(a.Build, b.Build) // the build's own first
	})
	return slices.CompactFunc(own, func(a, b Load) bool { return a.Circuit == b.Circuit })
}
