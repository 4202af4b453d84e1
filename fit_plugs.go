package standin

import (
	"slices"
	"strings"
)

// MayMate reports whether a plug may go onto a header by ways, pitch and key:
// none of these is recorded on both sides and differs. Circuits are left aside.
func MayMate(plug, header *Connector) bool {
	return !waysDiffer(plug, header) && mates(plug, header) != Fail
}

// waysDiffer reports whether a plug and a header have different numbers of ways,
// as most pairs have: the quickest way to rule one out.
func waysDiffer(plug, header *Connector) bool {
	return plug.Ways.V != header.Ways.V && plug.Ways.Known && header.Ways.Known
}

// mates reports whether a plug goes onto a header by ways, pitch and key alone,
// circuits left aside: Fail where one that is recorded differs, Pass where all
// are recorded on both sides, else Unknown.
func mates(plug, header *Connector) Outcome {
	return worst(compareRecorded(plug.Ways, header.Ways), worst(compareRecorded(plug.PitchMM, header.PitchMM), compareRecorded(plug.Key, header.Key)))
}

// carries reports whether every pin that the plug wires carries the same circuit
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

// worst returns the worse of two outcomes: Fail before Unknown before Pass.
func worst(a, b Outcome) Outcome {
	switch {
	case a == Fail || b == Fail:
		return Fail
	case a == Unknown || b == Unknown:
		return Unknown
	}
	return Pass
}

func compareRecorded[T comparable](a, b Maybe[T]) Outcome {
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
	var c connections
	c.reset(harness, board, noAdaptors)
	return c.seats()
}

// sameCircuits reports whether two headers are recorded to carry the same circuits.
func sameCircuits(a, b *Connector) bool {
	return a.Circuits.Known && b.Circuits.Known && slices.Equal(a.Circuits.V, b.Circuits.V)
}

// seating is the result of rule 5 for one harness and one board: how the plugs are
// connected, and which headers could be mistaken for each other.
type seating struct {
	outcome     Outcome
	reason      string
	adaptors    []string
	swappable   [][2]string
	connections []Connection
}

// seatings decides rule 5 once for each pair of layouts of a question.
type seatings struct {
	adaptors        []*Adaptor // in order of part number
	chained         *chained   // the adaptors; nil: not needed yet
	harnesses       []*Layout  // by build
	shared          *Seatings  // with other questions; may be nil
	decided         map[[2]*Layout]*seating
	forBoard        map[*Layout][]*seating // by build
	direct, adapted connections            // reused for every pair
}

func newSeatings(shared *Seatings, adaptors []Adaptor, builds []Build, revisions int) *seatings {
	s := &seatings{shared: shared, decided: make(map[[2]*Layout]*seating, revisions*len(builds)), forBoard: make(map[*Layout][]*seating, revisions)}
	for i := range adaptors {
		if adaptors[i].Takes != nil && adaptors[i].Gives != nil {
			s.adaptors = append(s.adaptors, &adaptors[i])
		}
	}
	slices.SortFunc(s.adaptors, func(a, b *Adaptor) int { return strings.Compare(a.PartNumber, b.PartNumber) })
	for i := range builds {
		s.harnesses = append(s.harnesses, builds[i].Layout)
	}
	return s
}

// chain returns what the adaptors may be joined to among themselves.
func (s *seatings) chain() *chained {
	if s.chained == nil {
		s.chained = s.shared.chain(s.adaptors)
	}
	return s.chained
}

// forAll returns how the harness of each build is connected to a board, with one
// set of adaptors for all of them where that is as good.
func (s *seatings) forAll(board *Layout) []*seating {
	all := s.forBoard[board]
	if all == nil {
		all = make([]*seating, 0, len(s.harnesses))
		for _, harness := range s.harnesses {
			all = append(all, s.seating(harness, board))
		}
		all = s.alike(all, board)
		s.forBoard[board] = all
	}
	return all
}

func (s *seatings) seating(harness, board *Layout) *seating {
	pair := [2]*Layout{harness, board}
	decided := s.decided[pair]
	if decided == nil {
		decided = s.shared.between(harness, board, s.decide)
		s.decided[pair] = decided
	}
	return decided
}

// alike returns the seatings with one set of adaptors for all builds, where every
// build takes the same number with the same outcome and one set serves them all;
// of several such sets it takes the alphabetically first. Otherwise it returns the
// seatings unchanged.
func (s *seatings) alike(all []*seating, board *Layout) []*seating {
	first, differ := all[0], false
	for _, other := range all {
		if len(other.adaptors) == 0 || len(other.adaptors) != len(first.adaptors) || other.outcome != first.outcome {
			return all
		}
		differ = differ || !slices.Equal(other.adaptors, first.adaptors)
	}
	if !differ {
		return all
	}
	routes := map[*Layout]*connections{}
	for _, harness := range s.harnesses {
		if routes[harness] == nil {
			routes[harness] = &connections{}
			routes[harness].reset(harness, board, s.chain())
		}
	}
	c := routes[s.harnesses[0]]
	for set := range c.fewest(c.joins(first.outcome)) {
		if !seatsAll(routes, first.outcome, set) {
			continue
		}
		shared := make([]*seating, len(all))
		for i, harness := range s.harnesses {
			shared[i] = routes[harness].adaptedSeating(first.outcome, set)
		}
		return shared
	}
	return all
}

func seatsAll(routes map[*Layout]*connections, outcome Outcome, set []int) bool {
	for _, c := range routes {
		if !c.routes(c.joins(outcome), set) {
			return false
		}
	}
	return true
}

func (s *seatings) decide(harness, board *Layout) *seating {
	switch {
	case harness == nil && board == nil:
		return &seating{reason: "neither the harness of the build nor the headers of the board are recorded"}
	case harness == nil:
		return &seating{reason: "the harness of the build is not recorded"}
	case board == nil:
		return &seating{reason: "the headers of the board are not recorded"}
	}
	return s.best(harness, board)
}

// best returns the first of these that applies: direct, with adaptors, possibly
// direct, possibly with adaptors, not at all.
func (s *seatings) best(harness, board *Layout) *seating {
	direct, adapted := &s.direct, &s.adapted
	direct.reset(harness, board, noAdaptors)
	outcome := direct.seats()
	if outcome == Pass {
		return direct.seating(Pass, nil, "every plug of "+harness.Name+" has a header of its own on "+board.Name)
	}
	adapted.reset(harness, board, s.chain())
	if set := adapted.route(adapted.pairs.sure); set != nil {
		return adapted.adaptedSeating(Pass, set)
	}
	if outcome == Unknown {
		return direct.seating(Unknown, nil, "the plugs may seat, but "+direct.doubt())
	}
	if !adapted.pairs.certain() { // else it was looked for already
		if set := adapted.route(adapted.pairs.possible); set != nil {
			return adapted.adaptedSeating(Unknown, set)
		}
	}
	return direct.seating(Fail, nil, direct.refusal(board))
}

// adaptedSeating returns the seating with a set of adaptors that lets every plug
// seat.
func (c *connections) adaptedSeating(o Outcome, set []int) *seating {
	if o == Pass {
		return c.seating(o, set, "with "+c.names(set)+" every plug of "+c.harness.Name+" has a header of its own on "+c.board.Name)
	}
	return c.seating(o, set, "the plugs may seat with "+c.names(set)+
		", but not all that decides it is recorded of the connectors")
}

// joins returns the pairs that an outcome rests on.
func (c *connections) joins(o Outcome) bipartite {
	if o == Pass {
		return c.pairs.sure
	}
	return c.pairs.possible
}

// seating returns the seating with a set of adaptors, nil for none.
func (c *connections) seating(o Outcome, set []int, reason string) *seating {
	result := &seating{outcome: o, reason: reason, swappable: c.swappable(set)}
	if o != Fail {
		result.connections = c.connect(c.joins(o), set, o == Pass)
	}
	for _, a := range set {
		result.adaptors = append(result.adaptors, c.adaptors[a].PartNumber)
	}
	return result
}

// doubt names a plug that has no header it seats on for certain, and what is not
// recorded about the pair.
func (c *connections) doubt() string {
	plug := c.unmatchedPlug(c.pairs.sure)
	for i := range c.headers {
		if c.pairs.possible.joined(plug, i) && !c.pairs.sure.joined(plug, i) {
			p, h := c.outlet(plug), c.inlet(i)
			return "for plug " + p.Marking + " and header " + h.Marking + " not recorded on both sides: " + unrecorded(p, h)
		}
	}
	return "plug " + c.outlet(plug).Marking + " has no header of its own for certain"
}

// unrecorded lists what of a pair is not recorded on both sides.
func unrecorded(p, h *Connector) string {
	var missing []string
	for _, attribute := range []struct {
		name     string
		recorded bool
	}{
		{"ways", p.Ways.Known && h.Ways.Known},
		{"pitch", p.PitchMM.Known && h.PitchMM.Known},
		{"key", p.Key.Known && h.Key.Known},
		{"circuits", p.Circuits.Known && h.Circuits.Known},
	} {
		if !attribute.recorded {
			missing = append(missing, attribute.name)
		}
	}
	return strings.Join(missing, ", ")
}

// refusal names a plug that has no header.
func (c *connections) refusal(board *Layout) string {
	plug := c.unmatchedPlug(c.pairs.possible)
	p := c.outlet(plug)
	name := "plug " + p.Marking
	if ways, ok := p.Ways.Get(); ok {
		name += " (" + whole(ways) + " ways)"
	}
	if c.pairs.possible.any(plug, run{0, c.headers}) {
		return name + " has no header of its own left on " + board.Name
	}
	return name + " has no header on " + board.Name + " that it seats on" + c.nearMiss(plug)
}

// nearMiss names a header whose shape accepts the plug but whose circuits differ:
// the most dangerous kind of misfit.
func (c *connections) nearMiss(plug int) string {
	for i := range c.headers {
		if p, h := c.outlet(plug), c.inlet(i); mates(p, h) != Fail && carries(p, h) == Fail {
			return "; " + h.Marking + " takes its shape but carries other circuits"
		}
	}
	return ""
}

// names lists adaptors by part number.
func (c *connections) names(set []int) string {
	names := make([]string, len(set))
	for i, a := range set {
		names[i] = c.adaptors[a].PartNumber
	}
	if len(names) == 1 {
		return "adaptor " + names[0]
	}
	return "adaptors " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
