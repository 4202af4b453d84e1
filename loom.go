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
	gives, takes    [][]int    // places in outlets and inlets, by adaptor
	memo            []uint8    // outcome of a pair plus one; 0: not yet judged
}

func newLoom(harness, board *Layout, adaptors []*Adaptor) *loom {
	l := &loom{plugs: len(harness.Connectors), headers: len(board.Connectors), adaptors: adaptors}
	l.outlets, _ = join(l.outlets, harness)
	l.inlets, _ = join(l.inlets, board)
	for _, a := range adaptors {
		var gives, takes []int
		l.outlets, gives = join(l.outlets, a.Gives)
		l.inlets, takes = join(l.inlets, a.Takes)
		l.gives, l.takes = append(l.gives, gives), append(l.takes, takes)
	}
	l.memo = make([]uint8, len(l.outlets)*len(l.inlets))
	return l
}

// join appends the connectors of a layout and tells at which places.
func join(connectors []*Connector, layout *Layout) ([]*Connector, []int) {
	places := upTo(len(connectors), len(connectors)+len(layout.Connectors))
	for i := range layout.Connectors {
		connectors = append(connectors, &layout.Connectors[i])
	}
	return connectors, places
}

func upTo(from, to int) []int {
	places := make([]int, 0, to-from)
	for i := from; i < to; i++ {
		places = append(places, i)
	}
	return places
}

// pair is what rule 5 says of an outlet and an inlet.
func (l *loom) pair(outlet, inlet int) Outcome {
	m := &l.memo[outlet*len(l.inlets)+inlet]
	if *m == 0 {
		*m = uint8(pairs(l.outlets[outlet], l.inlets[inlet])) + 1
	}
	return Outcome(*m - 1)
}

// joins tells whether an outlet may end on an inlet where pairs must be sure
// (they pass) or need only be possible (they do not fail).
func (l *loom) joins(sure bool, outlet, inlet int) bool {
	o := l.pair(outlet, inlet)
	return o == Pass || !sure && o == Unknown
}

// seat is whether the harness seats on the board without adaptors.
func (l *loom) seat() Outcome {
	if homeless, _ := l.homeless(true); homeless < 0 {
		return Pass
	}
	if homeless, _ := l.homeless(false); homeless < 0 {
		return Unknown
	}
	return Fail
}

// homeless is a plug of the harness for which no header is left, else -1; alone
// tells that no header would take it even if it were the only plug.
func (l *loom) homeless(sure bool) (plug int, alone bool) {
	joins := func(o, i int) bool { return l.joins(sure, o, i) }
	for o := range l.plugs {
		if !l.any(o, upTo(0, l.headers), joins) {
			return o, true
		}
	}
	return matching(upTo(0, l.plugs), upTo(0, l.headers), joins), false
}

func (l *loom) any(outlet int, inlets []int, joins func(o, i int) bool) bool {
	for _, i := range inlets {
		if joins(outlet, i) {
			return true
		}
	}
	return false
}

// route is the fewest adaptors, of several such sets the alphabetically first,
// with which the harness seats on the board; nil where none do.
func (l *loom) route(sure bool) []*Adaptor {
	usable := l.usable(sure)
	need, covers := l.needs(sure, usable)
	for size := 1; size <= min(maxAdaptors, len(usable)); size++ {
		if set := l.firstSet(sure, size, usable, need, covers); set != nil {
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
func (l *loom) firstSet(sure bool, size int, usable []int, need uint64, covers []uint64) []int {
	set := make([]int, 0, size)
	var choose func(from int, covered uint64) bool
	choose = func(from int, covered uint64) bool {
		if len(set) == size {
			return covered == need && l.routes(sure, set)
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
func (l *loom) usable(sure bool) []int {
	usable := upTo(0, len(l.adaptors))
	for {
		outlets, inlets := upTo(0, l.plugs), upTo(0, l.headers)
		for _, a := range usable {
			outlets, inlets = append(outlets, l.gives[a]...), append(inlets, l.takes[a]...)
		}
		var kept []int
		for _, a := range usable {
			if l.allJoin(l.gives[a], inlets, func(o, i int) bool { return l.joins(sure, o, i) }) &&
				l.allJoin(l.takes[a], outlets, func(i, o int) bool { return l.joins(sure, o, i) }) {
				kept = append(kept, a)
			}
		}
		if len(kept) == len(usable) {
			return usable
		}
		usable = kept
	}
}

func (l *loom) allJoin(these, those []int, joins func(a, b int) bool) bool {
	for _, a := range these {
		if !l.any(a, those, joins) {
			return false
		}
	}
	return true
}

// needs are the plugs that no header takes, a bit each (beyond 64 they are left
// to the matching), and which of them each usable adaptor could take.
func (l *loom) needs(sure bool, usable []int) (need uint64, covers []uint64) {
	joins := func(o, i int) bool { return l.joins(sure, o, i) }
	covers = make([]uint64, len(usable))
	for o := range min(l.plugs, 64) {
		if l.any(o, upTo(0, l.headers), joins) {
			continue
		}
		need |= 1 << o
		for i, a := range usable {
			if l.any(o, l.takes[a], joins) {
				covers[i] |= 1 << o
			}
		}
	}
	return need, covers
}

// routes tells whether a set of adaptors, applied in some order, lets every
// plug seat.
func (l *loom) routes(sure bool, set []int) bool {
	if !l.feeds(sure, set) {
		return l.routesInOrder(sure, set)
	}
	found := false
	permute(set, func(order []int) bool {
		found = l.routesInOrder(sure, order)
		return !found
	})
	return found
}

// feeds tells whether one of the adaptors could take what another gives; else
// the order in which they are applied makes no difference.
func (l *loom) feeds(sure bool, set []int) bool {
	for _, a := range set {
		for _, b := range set {
			for _, o := range l.gives[a] {
				if a != b && l.any(o, l.takes[b], func(o, i int) bool { return l.joins(sure, o, i) }) {
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
func (l *loom) routesInOrder(sure bool, order []int) bool {
	outlets, inlets := upTo(0, l.plugs), upTo(0, l.headers)
	var taken []int
	for _, a := range order {
		outlets, inlets, taken = append(outlets, l.gives[a]...), append(inlets, l.takes[a]...), append(taken, l.takes[a]...)
	}
	joins := func(o, i int) bool { return l.inOrder(order, o, i) && l.joins(sure, o, i) }
	return matching(taken, outlets, func(i, o int) bool { return joins(o, i) }) < 0 &&
		matching(outlets, inlets, joins) < 0
}

// inOrder tells whether an outlet is there before what takes the inlet is applied.
func (l *loom) inOrder(order []int, outlet, inlet int) bool {
	if outlet < l.plugs || inlet < l.headers {
		return true
	}
	for _, a := range order {
		switch {
		case contains(l.takes[a], inlet):
			return false
		case contains(l.gives[a], outlet):
			return true
		}
	}
	return false
}

// contains tells whether a place is in a run of places.
func contains(run []int, place int) bool {
	return len(run) > 0 && run[0] <= place && place <= run[len(run)-1]
}

// permute calls visit with each order of the items until it returns false; the
// items are as before afterwards.
func permute(items []int, visit func([]int) bool) bool {
	var from func(k int) bool
	from = func(k int) bool {
		if k == len(items) {
			return visit(items)
		}
		for i := k; i < len(items); i++ {
			items[k], items[i] = items[i], items[k]
			more := from(k + 1)
			items[k], items[i] = items[i], items[k]
			if !more {
				return false
			}
		}
		return true
	}
	return from(0)
}
