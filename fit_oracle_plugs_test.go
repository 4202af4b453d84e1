package standin_test

import (
	"slices"

	"standin"
)

// seats is how surely a plug, or a harness, seats.
type seats int

const (
	seatsNot seats = iota
	seatsMaybe
	seatsSurely
)

// pair returns how surely a plug seats on a header.
func pair(plug, header standin.Connector) seats {
	if differ(plug.Ways, header.Ways) || differ(plug.PitchMM, header.PitchMM) || differ(plug.Key, header.Key) || circuitsDiffer(plug, header) {
		return seatsNot
	}
	for _, c := range []standin.Connector{plug, header} {
		if !c.Ways.Known || !c.PitchMM.Known || !c.Key.Known || !c.Circuits.Known {
			return seatsMaybe
		}
	}
	return seatsSurely
}

func differ[T comparable](a, b standin.Maybe[T]) bool { return a.Known && b.Known && a.V != b.V }

func circuitsDiffer(plug, header standin.Connector) bool {
	if !plug.Circuits.Known || !header.Circuits.Known {
		return false
	}
	for pin, circuit := range plug.Circuits.V {
		wired := circuit != standin.Unused
		if wired && (pin >= len(header.Circuits.V) || header.Circuits.V[pin] != circuit) {
			return true
		}
	}
	return false
}

// seatAll returns how surely every plug can be given a header of its own, at best.
func seatAll(plugs, headers []standin.Connector) seats {
	if len(plugs) == 0 {
		return seatsSurely
	}
	best := seatsNot
	for i, h := range headers {
		if p := pair(plugs[0], h); p > best {
			best = max(best, min(p, seatAll(plugs[1:], without(headers, i))))
		}
	}
	return best
}

func without[T any](list []T, i int) []T { return append(slices.Clone(list[:i]), list[i+1:]...) }

// seatDirect returns how surely a harness seats on a board without adaptors.
func seatDirect(harness, board *standin.Layout) seats {
	if harness == nil || board == nil {
		return seatsMaybe
	}
	return seatAll(harness.Connectors, board.Connectors)
}

// seated is how a harness is connected to a board: the outcome, the adaptors, and
// every other set of equally few adaptors with the same outcome.
type seated struct {
	outcome  standin.Outcome
	adaptors []string
	asGood   [][]string
}

// oracleSeats is rule 5 for each build. Where adaptors decide all builds with the
// same outcome, the first set that is as good as any in all of them is taken.
func oracleSeats(d *standin.Dossier, builds []standin.Build, board *standin.Layout) []seated {
	all := make([]seated, len(builds))
	for i, b := range builds {
		all[i] = oracleConnectors(d, b.Layout, board)
	}
	for _, set := range all[0].asGood {
		inAll := true
		for _, s := range all {
			inAll = inAll && s.outcome == all[0].outcome && slices.ContainsFunc(s.asGood, func(other []string) bool { return slices.Equal(other, set) })
		}
		if inAll {
			for i := range all {
				all[i].adaptors = set
			}
			break
		}
	}
	return all
}

// oracleConnectors is rule 5 for one harness.
func oracleConnectors(d *standin.Dossier, harness, board *standin.Layout) seated {
	direct := seatDirect(harness, board)
	if direct == seatsSurely {
		return seated{outcome: standin.Pass}
	}
	if harness == nil || board == nil {
		return seated{outcome: standin.Unknown}
	}
	sets := adaptorSets(d.Adaptors)
	reached := make([]seats, len(sets))
	for i, set := range sets {
		reached[i] = seatThrough(harness.Connectors, board.Connectors, set)
	}
	asGood := func(how seats) (all [][]string) {
		for i, set := range sets {
			if reached[i] >= how && (len(all) == 0 || len(set) == len(all[0])) {
				all = append(all, partNumbers(set))
			}
		}
		return all
	}
	if surely := asGood(seatsSurely); surely != nil {
		return seated{standin.Pass, surely[0], surely}
	}
	if direct == seatsMaybe {
		return seated{outcome: standin.Unknown}
	}
	if maybe := asGood(seatsMaybe); maybe != nil {
		return seated{standin.Unknown, maybe[0], maybe}
	}
	return seated{outcome: standin.Fail}
}

// adaptorSets returns every set of one to three adaptors: the fewest first, then in
// alphabetical order.
func adaptorSets(adaptors []standin.Adaptor) (sets [][]standin.Adaptor) {
	for _, a := range adaptors {
		sets = append(sets, []standin.Adaptor{a})
		for _, b := range adaptors {
			if a.PartNumber >= b.PartNumber {
				continue
			}
			sets = append(sets, []standin.Adaptor{a, b})
			for _, c := range adaptors {
				if b.PartNumber < c.PartNumber {
					sets = append(sets, []standin.Adaptor{a, b, c})
				}
			}
		}
	}
	slices.SortFunc(sets, func(a, b []standin.Adaptor) int {
		if len(a) != len(b) {
			return len(a) - len(b)
		}
		return slices.Compare(partNumbers(a), partNumbers(b))
	})
	return sets
}

func partNumbers(set []standin.Adaptor) (parts []string) {
	for _, a := range set {
		parts = append(parts, a.PartNumber)
	}
	return parts
}

// seatThrough returns how surely the plugs seat, at best, after each adaptor of a set
// is used once, in any order and on any plugs.
func seatThrough(plugs, headers []standin.Connector, set []standin.Adaptor) seats {
	if len(set) == 0 {
		return seatAll(plugs, headers)
	}
	best := seatsNot
	for i, a := range set {
		takings(a.Takes.Connectors, plugs, seatsSurely, func(rest []standin.Connector, sure seats) {
			if sure > best {
				after := append(slices.Clone(rest), a.Gives.Connectors...)
				best = max(best, min(sure, seatThrough(after, headers, without(set, i))))
			}
		})
	}
	return best
}

// takings visits every way to give each plug that an adaptor takes a plug of its
// own, with the rest of the plugs.
func takings(takes, plugs []standin.Connector, sure seats, visit func(rest []standin.Connector, sure seats)) {
	if len(takes) == 0 {
		visit(plugs, sure)
		return
	}
	for i, p := range plugs {
		if s := min(sure, pair(p, takes[0])); s > seatsNot {
			takings(takes[1:], without(plugs, i), s, visit)
		}
	}
}
