package standin

import "slices"

// apart tells whether a plug and a header have other ways, as most pairs have.
func apart(plug, header *Connector) bool {
	return plug.Ways.V != header.Ways.V && plug.Ways.Known && header.Ways.Known
}

// mates tells whether a plug goes onto a header by ways, pitch and key alone,
// circuits left aside: Fail where one that is recorded differs, Pass where all
// are recorded on both sides, else Unknown.
func mates(plug, header *Connector) Outcome {
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

// alike tells whether two headers are recorded to carry the same circuits.
func alike(a, b *Connector) bool {
	return a.Circuits.Known && b.Circuits.Known && slices.Equal(a.Circuits.V, b.Circuits.V)
}
