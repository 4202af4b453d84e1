package standin

import (
	"slices"
	"strings"
)

// seating is rule 5 for one harness and one board: how the plugs get onto the
// headers, and which headers could be mistaken for each other.
type seating struct {
	outcome   Outcome
	reason    string
	adaptors  []string
	swappable [][2]string
}

// seatings judges each pair of layouts once.
type seatings struct {
	adaptors []*Adaptor // in order of part number
	judged   map[[2]*Layout]*seating
}

func newSeatings(adaptors []Adaptor) *seatings {
	s := &seatings{judged: map[[2]*Layout]*seating{}}
	for i := range adaptors {
		if adaptors[i].Takes != nil && adaptors[i].Gives != nil {
			s.adaptors = append(s.adaptors, &adaptors[i])
		}
	}
	slices.SortFunc(s.adaptors, func(a, b *Adaptor) int { return strings.Compare(a.PartNumber, b.PartNumber) })
	return s
}

func (s *seatings) of(harness, board *Layout) *seating {
	pair := [2]*Layout{harness, board}
	if s.judged[pair] == nil {
		s.judged[pair] = s.judge(harness, board)
	}
	return s.judged[pair]
}

func (s *seatings) judge(harness, board *Layout) *seating {
	switch {
	case harness == nil && board == nil:
		return &seating{reason: "neither the harness of the build nor the headers of the board are recorded"}
	case harness == nil:
		return &seating{reason: "the harness of the build is not recorded"}
	case board == nil:
		return &seating{reason: "the headers of the board are not recorded"}
	}
	found := s.connect(harness, board)
	plugs := slices.Clone(found.plugs)
	found.swappable = swappable(plugs, board)
	return &found.seating
}

// connection is a seating with the plugs that may reach the board.
type connection struct {
	seating
	plugs []*Connector
}

// connect finds the best of: direct, with adaptors, possibly direct, possibly
// with adaptors.
func (s *seatings) connect(harness, board *Layout) connection {
	direct := newLoom(harness, board, nil)
	outcome := direct.seat()
	if outcome == Pass {
		return s.connected(direct.outlets, Pass, nil, "every plug of the harness "+harness.Name+
			" has a header of its own on "+board.Name)
	}
	l := direct
	if len(s.adaptors) > 0 {
		l = newLoom(harness, board, s.adaptors)
	}
	if set := l.route(true); set != nil {
		return s.connected(direct.outlets, Pass, set, "with "+adaptorList(set)+" every plug of the harness "+
			harness.Name+" has a header of its own on "+board.Name)
	}
	if outcome == Unknown {
		return s.connected(direct.outlets, Unknown, nil, "the plugs may seat, but "+direct.doubt())
	}
	if set := l.route(false); set != nil {
		return s.connected(direct.outlets, Unknown, set, "the plugs may seat with "+adaptorList(set)+
			", but not all that decides it is recorded of the connectors")
	}
	return s.connected(direct.outlets, Fail, nil, direct.refusal(board))
}

func (s *seatings) connected(plugs []*Connector, o Outcome, set []*Adaptor, reason string) connection {
	c := connection{seating: seating{outcome: o, reason: reason}, plugs: plugs}
	for _, a := range set {
		c.adaptors = append(c.adaptors, a.PartNumber)
		c.plugs, _ = join(slices.Clip(c.plugs), a.Gives)
	}
	return c
}

// doubt names a plug that has only headers it may seat on, and what is not
// recorded of the pair.
func (l *loom) doubt() string {
	plug, _ := l.homeless(true)
	for i := range l.headers {
		if l.pair(plug, i) != Unknown {
			continue
		}
		p, h := l.outlets[plug], l.inlets[i]
		return "for plug " + p.Marking + " and header " + h.Marking + " not recorded on both sides: " + unrecorded(p, h)
	}
	return "two plugs compete for one header"
}

// unrecorded lists what of a pair is not recorded on both sides.
func unrecorded(p, h *Connector) string {
	var missing []string
	add := func(name string, a, b bool) {
		if !a || !b {
			missing = append(missing, name)
		}
	}
	add("ways", p.Ways.Known, h.Ways.Known)
	add("pitch", p.PitchMM.Known, h.PitchMM.Known)
	add("key", p.Key.Known, h.Key.Known)
	add("circuits", p.Circuits.Known, h.Circuits.Known)
	return strings.Join(missing, ", ")
}

// refusal names a plug that has no header.
func (l *loom) refusal(board *Layout) string {
	plug, alone := l.homeless(false)
	p := l.outlets[plug]
	name := "plug " + p.Marking
	if ways, ok := p.Ways.Get(); ok {
		name += " (" + whole(ways) + " ways)"
	}
	if alone {
		return name + " has no header on " + board.Name + " that it seats on" + l.nearMiss(plug)
	}
	return name + " has no header of its own left on " + board.Name
}

// nearMiss says of a plug that goes onto a header by its shape which circuits
// keep them apart: the most dangerous kind of misfit.
func (l *loom) nearMiss(plug int) string {
	for i := range l.headers {
		if p, h := l.outlets[plug], l.inlets[i]; mates(p, h) != Fail && carries(p, h) == Fail {
			return "; " + h.Marking + " takes its shape but carries other circuits"
		}
	}
	return ""
}

func adaptorList(set []*Adaptor) string {
	names := make([]string, len(set))
	for i, a := range set {
		names[i] = a.PartNumber
	}
	if len(names) == 1 {
		return "adaptor " + names[0]
	}
	return "adaptors " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
