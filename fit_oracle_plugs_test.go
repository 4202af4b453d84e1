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

// seatAll is the surest way to give every plug a header of its own.
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

// seatDirect is a harness on a board without adaptors.
func seatDirect(harness, board *standin.Layout) seats {
	if harness == nil || board == nil {
		return seatsMaybe
	}
	return seatAll(harness.Connectors, board.Connectors)
}

// oracleConnectors is rule 5: the outcome and the adaptors it takes.
func oracleConnectors(d *standin.Dossier, harness, board *standin.Layout) (standin.Outcome, []string) {
	direct := seatDirect(harness, board)
	if direct == seatsSurely {
		return standin.Pass, nil
	}
	if harness == nil || board == nil {
		return standin.Unknown, nil
	}
	sets := adaptorSets(d.Adaptors)
	reached := make([]seats, len(sets))
	for i, set := range sets {
		reached[i] = seatThrough(harness.Connectors, board.Connectors, set)
	}
	if i := slices.Index(reached, seatsSurely); i >= 0 {
		return standin.Pass, partNumbers(sets[i])
	}
	if direct == seatsMaybe {
		return standin.Unknown, nil
	}
	if i := slices.Index(reached, seatsMaybe); i >= 0 {
		return standin.Unknown, partNumbers(sets[i])
	}
	return standin.Fail, nil
}

// adaptorSets is every set of one to three adaptors: the fewest first, then in
// the order of the alphabet.
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

// seatThrough is the surest way to use each adaptor of a set once, in any order
// and on any plugs, and then to seat what there is.
func seatThrough(plugs, headers []standin.Connector, set []standin.Adaptor) seats {
	if len(set) == 0 {
		return seatAll(plugs, headers)
	}
	best := seatsNot
	for i, a := range set {
		takings(a.Takes.Connectors, plugs, seatsSurely, func(left []standin.Connector, sure seats) {
			if sure > best {
				after := append(slices.Clone(left), a.Gives.Connectors...)
				best = max(best, min(sure, seatThrough(after, headers, without(set, i))))
			}
		})
	}
	return best
}

// takings visits every way to give each plug that is taken a plug of its own,
// with the plugs left over.
func takings(takes, plugs []standin.Connector, sure seats, visit func(left []standin.Connector, sure seats)) {
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
