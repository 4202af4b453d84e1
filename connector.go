package standin

import "slices"

// mates tells whether a plug goes onto a header by ways, pitch and key alone,
// circuits left aside.
func mates(plug, header *Connector) Outcome {
	if plug.Ways.V != header.Ways.V && plug.Ways.Known && header.Ways.Known { // most pairs end here
		return Fail
	}
	return worst(same(plug.Ways, header.Ways), worst(same(plug.PitchMM, header.PitchMM), same(plug.Key, header.Key)))
}

// carries tells whether every pin that the plug wires carries the same circuit
// on the header. A pin the plug leaves unused may be anything there.
func carries(plug, header *Connector) Outcome {
	if !plug.Circuits.Known || !header.Circuits.Known {
		return Unknown
	}
	on := header.Circuits.V
	for pin, circuit := range plug.Circuits.V {
		if circuit != Unused && (pin >= len(on) || on[pin] != circuit) {
			return Fail
		}
	}
	return Pass
}

// pairs is rule 5 for one plug and one header: Fail where a recorded attribute
// differs, Pass where all are recorded on both sides, else Unknown.
func pairs(plug, header *Connector) Outcome {
	m := mates(plug, header)
	if m == Fail {
		return Fail
	}
	return worst(m, carries(plug, header))
}

// worst is Fail before Unknown before Pass.
func worst(a, b Outcome) Outcome {
	switch {
	case a == Fail || b == Fail:
		return Fail
	case a == Unknown || b == Unknown:
		return Unknown
	}
	return Pass
}

func same[T comparable](a, b Maybe[T]) Outcome {
	switch {
	case !a.Known || !b.Known:
		return Unknown
	case a.V != b.V:
		return Fail
	}
	return Pass
}

// seats is rule 5 for a harness and a board, without adaptors: Pass where every
// plug can be given a header of its own through pairs that pass, Unknown where
// it takes pairs that are unknown or a layout is not recorded, else Fail.
func seats(harness, board *Layout) Outcome {
	if harness == nil || board == nil {
		return Unknown
	}
	var l loom
	l.set(harness, board, nil)
	return l.seat()
}

// swappable are the pairs of headers of a board, by marking, to which one plug
// of the harness would go by ways, pitch and key although their circuits differ
// or are not recorded: one wrong connection can destroy the board.
func swappable(plugs []*Connector, board *Layout) [][2]string {
	var found [][2]string
	var few [8]*Connector
	for _, plug := range plugs {
		takers := few[:0]
		for i := range board.Connectors {
			if header := &board.Connectors[i]; mates(plug, header) != Fail {
				takers = append(takers, header)
			}
		}
		for i, a := range takers {
			for _, b := range takers[i+1:] {
				pair := [2]string{a.Marking, b.Marking}
				if !alike(a, b) && !slices.Contains(found, pair) {
					found = append(found, pair)
				}
			}
		}
	}
	slices.SortFunc(found, func(a, b [2]string) int { return slices.Compare(a[:], b[:]) })
	return found
}

// alike tells whether two headers are recorded to carry the same circuits.
func alike(a, b *Connector) bool {
	return a.Circuits.Known && b.Circuits.Known && slices.Equal(a.Circuits.V, b.Circuits.V)
}
