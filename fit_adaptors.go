package standin

import "slices"

// MaxAdaptors is how many adaptors are put between a harness and a board at most.
const MaxAdaptors = 3

// UsableAdaptors returns, of many adaptors, those that may be applied to the
// harness of one of the builds, up to MaxAdaptors one after the other, in the
// order given. It never leaves out one that Fit could apply.
func UsableAdaptors(adaptors []Adaptor, builds []Build) []Adaptor {
	offers := make([]*Layout, 0, len(builds)+len(adaptors)) // layouts whose plugs may be there
	for i := range builds {
		if builds[i].Layout != nil {
			offers = append(offers, builds[i].Layout)
		}
	}
	usable, count := make([]bool, len(adaptors)), 0
	for range MaxAdaptors {
		offered := offers // what this round adds is for the next
		for i := range adaptors {
			a := &adaptors[i]
			if !usable[i] && a.Takes != nil && a.Gives != nil && mayTake(a.Takes, offered) {
				usable[i] = true
				count++
				offers = append(offers, a.Gives)
			}
		}
	}
	if count == 0 {
		return nil
	}
	kept := make([]Adaptor, 0, count)
	for i := range adaptors {
		if usable[i] {
			kept = append(kept, adaptors[i])
		}
	}
	return kept
}

// mayTake reports whether for every plug that an adaptor takes one may be
// offered.
func mayTake(takes *Layout, offers []*Layout) bool {
	for i := range takes.Connectors {
		if !slices.ContainsFunc(offers, func(l *Layout) bool { return mayOffer(l, &takes.Connectors[i]) }) {
			return false
		}
	}
	return true
}

func mayOffer(offer *Layout, header *Connector) bool {
	for i := range offer.Connectors {
		if MayMate(&offer.Connectors[i], header) {
			return true
		}
	}
	return false
}

// loom is what may be joined between a harness and a board. The outlets are the
// plugs of the harness and, behind them, those that each adaptor gives; the
// inlets are the headers of the board and, behind them, the plugs that each
// adaptor takes. Every outlet that is there must end on an inlet of its own.
type loom struct {
	harness, board *Layout
	plugs, headers int          // how many connectors those have
	adaptors       []*Adaptor   // in order of part number
	given, taken   []*Connector // by the adaptors
	gives, takes   []run        // places of outlets and of inlets, by adaptor
	there          []int        // space for outletsOf
	shaped         relation     // outlets to inlets, pairs that mate by ways, pitch and key
	possible       relation     // … of those the pairs that do not fail
	sure           relation     // … and those that pass
}

// set makes it the loom of a harness and a board, in the space it has.
func (l *loom) set(harness, board *Layout, adaptors []*Adaptor) {
	l.harness, l.board, l.adaptors = harness, board, adaptors
	l.plugs, l.headers = len(harness.Connectors), len(board.Connectors)
	l.given, l.taken, l.gives, l.takes = l.given[:0], l.taken[:0], l.gives[:0], l.takes[:0]
	for _, a := range adaptors {
		l.gives = append(l.gives, lay(&l.given, a.Gives, l.plugs))
		l.takes = append(l.takes, lay(&l.taken, a.Takes, l.headers))
	}
	outlets, inlets := l.plugs+len(l.given), l.headers+len(l.taken)
	for _, joins := range []*relation{&l.shaped, &l.possible, &l.sure} {
		joins.clear(outlets, inlets)
	}
	for o := range outlets {
		outlet := l.outlet(o)
		for i := range inlets {
			if inlet := l.inlet(i); !waysDiffer(outlet, inlet) {
				l.judge(o, i, outlet, inlet)
			}
		}
	}
}

// judge is rule 5 for one outlet and one inlet, and their places.
func (l *loom) judge(o, i int, outlet, inlet *Connector) {
	shape := mates(outlet, inlet)
	if shape == Fail {
		return
	}
	l.shaped.join(o, i)
	circuits := carries(outlet, inlet)
	if circuits == Fail {
		return
	}
	l.possible.join(o, i)
	if shape == Pass && circuits == Pass {
		l.sure.join(o, i)
	}
}

// lay appends the connectors of a layout and tells their places, which begin
// behind so many others.
func lay(connectors *[]*Connector, layout *Layout, others int) run {
	from := others + len(*connectors)
	for i := range layout.Connectors {
		*connectors = append(*connectors, &layout.Connectors[i])
	}
	return run{from, others + len(*connectors)}
}

func (l *loom) outlet(o int) *Connector {
	if o < l.plugs {
		return &l.harness.Connectors[o]
	}
	return l.given[o-l.plugs]
}

func (l *loom) inlet(i int) *Connector {
	if i < l.headers {
		return &l.board.Connectors[i]
	}
	return l.taken[i-l.headers]
}

// seat is whether the harness seats on the board without adaptors.
func (l *loom) seat() Outcome {
	switch {
	case l.sure.unmatched(l.plugs) < 0:
		return Pass
	case l.possible.unmatched(l.plugs) < 0:
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
// with which the harness seats on the board, by their places; nil where none do.
func (l *loom) route(joins relation) []int {
	usable := l.usable(joins)
	need, covers := l.needs(joins, usable)
	for size := 1; size <= min(MaxAdaptors, len(usable)); size++ {
		if set := l.firstSet(joins, size, usable, need, covers); set != nil {
			return set
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
	forth := newRelation(len(outlets), l.headers+len(l.taken))
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
	places := l.there[:0]
	for plug := range l.plugs {
		places = append(places, plug)
	}
	for _, a := range set {
		for o := l.gives[a].from; o < l.gives[a].to; o++ {
			places = append(places, o)
		}
	}
	l.there = places
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

// swappable are the pairs of headers of the board, by marking, to which one of
// the plugs that are there with a set of adaptors would go by ways, pitch and
// key although their circuits differ or are not recorded: one wrong connection
// can destroy the board.
func (l *loom) swappable(set []int) [][2]string {
	var found [][2]string
	for _, outlet := range l.outletsOf(set) {
		board := run{0, l.headers}
		for i := l.shaped.next(outlet, 0); board.has(i); i = l.shaped.next(outlet, i+1) {
			for j := l.shaped.next(outlet, i+1); board.has(j); j = l.shaped.next(outlet, j+1) {
				pair := [2]string{l.inlet(i).Marking, l.inlet(j).Marking}
				if !alike(l.inlet(i), l.inlet(j)) && !slices.Contains(found, pair) {
					found = append(found, pair)
				}
			}
		}
	}
	slices.SortFunc(found, func(a, b [2]string) int { return slices.Compare(a[:], b[:]) })
	return found
}
