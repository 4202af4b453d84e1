package standin

// maxAdaptors is how many adaptors are put between a harness and a board at most.
const maxAdaptors = 3

// loom is what may be joined between a harness and a board. The outlets are the
// plugs of the harness and, behind them, those that each adaptor gives; the
// inlets are the headers of the board and, behind them, the plugs that each
// adaptor takes. Every outlet that is there must end on an inlet of its own.
type loom struct {
	outlets, inlets []*Connector
	plugs, headers  int        // how many of them are the harness's and the board's
	adaptors        []*Adaptor // in order of part number
	gives, takes    []run      // places in outlets and inlets, by adaptor
	sure            relation   // outlets to inlets, pairs that pass
	possible        relation   // … and those that do not fail
}

// set makes it the loom of a harness and a board, in the space it has.
func (l *loom) set(harness, board *Layout, adaptors []*Adaptor) {
	l.plugs, l.headers, l.adaptors = len(harness.Connectors), len(board.Connectors), adaptors
	l.outlets, _ = lay(l.outlets[:0], harness)
	l.inlets, _ = lay(l.inlets[:0], board)
	l.gives, l.takes = l.gives[:0], l.takes[:0]
	for _, a := range adaptors {
		var gives, takes run
		l.outlets, gives = lay(l.outlets, a.Gives)
		l.inlets, takes = lay(l.inlets, a.Takes)
		l.gives, l.takes = append(l.gives, gives), append(l.takes, takes)
	}
	l.sure.clear(len(l.outlets), len(l.inlets))
	l.possible.clear(len(l.outlets), len(l.inlets))
	for o, outlet := range l.outlets {
		for i, inlet := range l.inlets {
			switch pairs(outlet, inlet) {
			case Pass:
				l.sure.join(o, i)
				l.possible.join(o, i)
			case Unknown:
				l.possible.join(o, i)
			case Fail:
			}
		}
	}
}

// lay appends the connectors of a layout and tells at which places.
func lay(connectors []*Connector, layout *Layout) ([]*Connector, run) {
	from := len(connectors)
	for i := range layout.Connectors {
		connectors = append(connectors, &layout.Connectors[i])
	}
	return connectors, run{from, len(connectors)}
}

// seat is whether the harness seats on the board without adaptors.
func (l *loom) seat() Outcome {
	switch {
	case l.homeless(l.sure) < 0:
		return Pass
	case l.homeless(l.possible) < 0:
		return Unknown
	}
	return Fail
}

// homeless is a plug of the harness for which no header is left, one that no
// header would take at all before others; -1 where there is none. It is for a
// loom without adaptors.
func (l *loom) homeless(joins relation) int {
	for plug := range l.plugs {
		if !joins.any(plug, run{0, l.headers}) {
			return plug
		}
	}
	return joins.unmatched(l.plugs)
}

// route is the fewest adaptors, of several such sets the alphabetically first,
// with which the harness seats on the board; nil where none do.
func (l *loom) route(joins relation) []*Adaptor {
	usable := l.usable(joins)
	need, covers := l.needs(joins, usable)
	for size := 1; size <= min(maxAdaptors, len(usable)); size++ {
		if set := l.firstSet(joins, size, usable, need, covers); set != nil {
			adaptors := make([]*Adaptor, len(set))
			for i, a := range set {
				adaptors[i] = l.adaptors[a]
			}
			return adaptors
		}
	}
	return nil
}

// firstSet goes through the sets of one size in alphabetical order.
func (l *loom) firstSet(joins relation, size int, usable []int, need uint64, covers []uint64) []int {
	set := make([]int, 0, size)
	var choose func(from int, covered uint64) bool
	choose = func(from int, covered uint64) bool {
		if len(set) == size {
			return covered == need && l.routes(joins, set)
		}
		for i := from; i < len(usable); i++ {
			set = append(set, usable[i])
			if choose(i+1, covered|covers[i]) {
				return true
			}
			set = set[:len(set)-1]
		}
		return false
	}
	if choose(0, 0) {
		return set
	}
	return nil
}

// usable are the adaptors that can have a part in a route: each plug it takes
// can come from somewhere, and each it gives can go somewhere. What an adaptor
// that is not usable gives or takes does not count, so it is asked until
// nothing changes.
func (l *loom) usable(joins relation) []int {
	usable := make([]int, len(l.adaptors))
	for a := range usable {
		usable[a] = a
	}
	for {
		var kept []int
		for _, a := range usable {
			if l.fed(joins, a, usable) && l.drained(joins, a, usable) {
				kept = append(kept, a)
			}
		}
		if len(kept) == len(usable) {
			return usable
		}
		usable = kept
	}
}

// fed tells whether each plug that an adaptor takes can come from the harness or
// one of the others.
func (l *loom) fed(joins relation, a int, others []int) bool {
	for inlet := l.takes[a].from; inlet < l.takes[a].to; inlet++ {
		found := fromAny(joins, run{0, l.plugs}, inlet)
		for _, other := range others {
			found = found || other != a && fromAny(joins, l.gives[other], inlet)
		}
		if !found {
			return false
		}
	}
	return true
}

func fromAny(joins relation, outlets run, inlet int) bool {
	for o := outlets.from; o < outlets.to; o++ {
		if joins.joined(o, inlet) {
			return true
		}
	}
	return false
}

// drained tells whether each plug that an adaptor gives can go to the board or
// one of the others.
func (l *loom) drained(joins relation, a int, others []int) bool {
	for outlet := l.gives[a].from; outlet < l.gives[a].to; outlet++ {
		found := joins.any(outlet, run{0, l.headers})
		for _, other := range others {
			found = found || other != a && joins.any(outlet, l.takes[other])
		}
		if !found {
			return false
		}
	}
	return true
}

// needs are the plugs that no header takes, a bit each (beyond 64 they are left
// to the matching), and which of them each usable adaptor could take.
func (l *loom) needs(joins relation, usable []int) (need uint64, covers []uint64) {
	covers = make([]uint64, len(usable))
	for plug := range min(l.plugs, 64) {
		if joins.any(plug, run{0, l.headers}) {
			continue
		}
		need |= 1 << plug
		for i, a := range usable {
			if joins.any(plug, l.takes[a]) {
				covers[i] |= 1 << plug
			}
		}
	}
	return need, covers
}

// routes tells whether a set of adaptors, applied in some order, lets every
// plug seat.
func (l *loom) routes(joins relation, set []int) bool {
	if !l.feed(joins, set) {
		return l.routesInOrder(joins, set)
	}
	return permuted(set, 0, func(order []int) bool { return l.routesInOrder(joins, order) })
}

// feed tells whether one of the adaptors could take what another gives; else
// the order in which they are applied makes no difference.
func (l *loom) feed(joins relation, set []int) bool {
	for _, a := range set {
		for _, b := range set {
			for o := l.gives[a].from; a != b && o < l.gives[a].to; o++ {
				if joins.any(o, l.takes[b]) {
					return true
				}
			}
		}
	}
	return false
}

// routesInOrder tells whether adaptors applied in this order let every plug
// seat: every outlet needs an inlet of its own, and every plug an adaptor takes
// an outlet of its own, of the harness or of an adaptor applied before. A
// matching for the one side and one for the other are enough: then there is one
// that serves both (Mendelsohn and Dulmage 1958).
func (l *loom) routesInOrder(joins relation, order []int) bool {
	outlets := l.outletsOf(order)
	taken := l.takenBy(order)
	forth := newRelation(len(outlets), len(l.inlets))
	back := newRelation(len(taken), len(outlets))
	for row, outlet := range outlets {
		for inlet := range l.headers {
			if joins.joined(outlet, inlet) {
				forth.join(row, inlet)
			}
		}
		for i, inlet := range taken {
			if joins.joined(outlet, inlet) && l.inOrder(order, outlet, inlet) {
				forth.join(row, inlet)
				back.join(i, row)
			}
		}
	}
	return back.unmatched(len(taken)) < 0 && forth.unmatched(len(outlets)) < 0
}

// outletsOf are the places of the plugs that are there with a set of adaptors.
func (l *loom) outletsOf(set []int) []int {
	places := make([]int, 0, len(l.outlets))
	for plug := range l.plugs {
		places = append(places, plug)
	}
	for _, a := range set {
		for o := l.gives[a].from; o < l.gives[a].to; o++ {
			places = append(places, o)
		}
	}
	return places
}

// takenBy are the places of the plugs that a set of adaptors takes.
func (l *loom) takenBy(set []int) []int {
	var places []int
	for _, a := range set {
		for i := l.takes[a].from; i < l.takes[a].to; i++ {
			places = append(places, i)
		}
	}
	return places
}

// inOrder tells whether an outlet is there before the adaptor that takes the
// inlet is applied.
func (l *loom) inOrder(order []int, outlet, inlet int) bool {
	if outlet < l.plugs {
		return true
	}
	for _, a := range order {
		switch {
		case l.takes[a].has(inlet):
			return false
		case l.gives[a].has(outlet):
			return true
		}
	}
	return false
}

// permuted tells whether some order of the items from k on is good.
func permuted(items []int, k int, good func([]int) bool) bool {
	if k == len(items) {
		return good(items)
	}
	for i := k; i < len(items); i++ {
		items[k], items[i] = items[i], items[k]
		found := permuted(items, k+1, good)
		items[k], items[i] = items[i], items[k]
		if found {
			return true
		}
	}
	return false
}
