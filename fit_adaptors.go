package standin

import (
	"iter"
	"slices"
)

// MaxAdaptors is the most adaptors that are put between a harness and a board.
const MaxAdaptors = 3

// UsableAdaptors returns the adaptors that may be applied to the harness of one of
// the builds, up to MaxAdaptors one after the other, in the order given. It never
// leaves out one that Fit could apply.
func UsableAdaptors(adaptors []Adaptor, builds []Build) []Adaptor {
	offers := make([]*Layout, 0, len(builds)+len(adaptors)) // layouts whose plugs may be available
	for i := range builds {
		if builds[i].Layout != nil {
			offers = append(offers, builds[i].Layout)
		}
	}
	usable, count := make([]bool, len(adaptors)), 0
	for range MaxAdaptors {
		offered := offers // what this round adds counts from the next on
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

// mayTake reports whether every plug that an adaptor takes may be on offer.
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

// connections are what may be joined between a harness and a board. The outlets
// are the plugs of the harness and, behind them, those that each adaptor gives; the
// inlets are the headers of the board and, behind them from a multiple of 64 on, the
// plugs that each adaptor takes. Every outlet present must end on an inlet of its own.
type connections struct {
	*chained
	harness, board *Layout
	plugs, headers int   // how many connectors those have
	firstTaken     int   // place of the first inlet of an adaptor
	gives, takes   []run // places of outlets and of inlets, by adaptor
	present        []int // reused by outletsOf
	from, ended    []int // reused by connect
	placed         []bool
	back, forth    matcher
	pairs          pairs
}

// reset makes it the connections of a harness and a board, and reuses its space.
func (c *connections) reset(harness, board *Layout, adaptors *chained) {
	c.harness, c.board, c.chained = harness, board, adaptors
	c.plugs, c.headers = len(harness.Connectors), len(board.Connectors)
	c.firstTaken = (c.headers + 63) / 64 * 64
	c.gives, c.takes = c.gives[:0], c.takes[:0]
	for a := range adaptors.adaptors {
		c.gives = append(c.gives, adaptors.gives[a].moved(c.plugs))
		c.takes = append(c.takes, adaptors.takes[a].moved(c.firstTaken))
	}
	outlets, inlets := c.plugs+len(c.given), c.firstTaken+len(c.taken)
	c.pairs.clear(outlets, inlets)
	c.pairs.copyFrom(&adaptors.pairs, c.plugs, c.firstTaken)
	for o := range outlets {
		c.compare(o, run{0, c.headers})
	}
	for o := range c.plugs {
		c.compare(o, run{c.firstTaken, inlets})
	}
}

// compare is rule 5 for one outlet and each of some inlets.
func (c *connections) compare(o int, inlets run) {
	outlet := c.outlet(o)
	for i := inlets.from; i < inlets.to; i++ {
		c.pairs.compare(o, i, outlet, c.inlet(i))
	}
}

func (c *connections) outlet(o int) *Connector {
	if o < c.plugs {
		return &c.harness.Connectors[o]
	}
	return c.given[o-c.plugs]
}

func (c *connections) inlet(i int) *Connector {
	if i < c.headers {
		return &c.board.Connectors[i]
	}
	return c.taken[i-c.firstTaken]
}

// seats says how surely the harness seats on the board without adaptors.
func (c *connections) seats() Outcome {
	switch {
	case c.pairs.sure.unmatched(c.plugs) < 0:
		return Pass
	case c.pairs.possible.unmatched(c.plugs) < 0:
		return Unknown
	}
	return Fail
}

// unmatchedPlug returns a plug of the harness for which no header is left,
// preferably one that no header would take at all, or -1. It is for connections
// without adaptors.
func (c *connections) unmatchedPlug(joins bipartite) int {
	for plug := range c.plugs {
		if !joins.any(plug, run{0, c.headers}) {
			return plug
		}
	}
	return joins.unmatched(c.plugs)
}

// route is the fewest adaptors, of several such sets the alphabetically first,
// with which the harness seats on the board, by their places; nil where none do.
func (c *connections) route(joins bipartite) []int {
	for set := range c.fewest(joins) {
		return set
	}
	return nil
}

// fewest yields the sets of adaptors with which the harness seats on the board and
// of which none is smaller, in alphabetical order. Sets grow from what the adaptors
// chosen so far leave without a place, so that the cost does not depend on how many
// adaptors there are for other plugs.
func (c *connections) fewest(joins bipartite) iter.Seq[[]int] {
	return func(yield func([]int) bool) {
		usable, neighbours := c.usable(joins)
		sets, seen, found := [][]int{nil}, map[[MaxAdaptors]int]bool{}, false
		for size := 1; size <= MaxAdaptors && !found; size++ {
			sets = c.grown(joins, sets, usable, seen)
			slices.SortFunc(sets, slices.Compare)
			for _, set := range sets {
				tooFew := slices.ContainsFunc(set, func(a int) bool { return neighbours[a] >= size })
				if tooFew || !c.routes(joins, set) {
					continue
				}
				if found = true; !yield(set) {
					return
				}
			}
		}
	}
}

// grown returns the sets with one adaptor more than some that do not seat the
// harness, of which some set that seats it may be made. Those seen before are left
// out.
func (c *connections) grown(joins bipartite, sets [][]int, usable []int, seen map[[MaxAdaptors]int]bool) (grown [][]int) {
	for _, set := range sets {
		for _, a := range c.remedies(joins, set, usable) {
			next := append(slices.Clone(set), a)
			slices.Sort(next)
			var key [MaxAdaptors]int
			if copy(key[:], next); !seen[key] {
				seen[key] = true
				grown = append(grown, next)
			}
		}
	}
	return grown
}

// remedies are the usable adaptors of which every set that seats the harness has
// one more, if it has those of set. Where outlets have too few inlets between them
// (Hall's theorem), one must be taken by another adaptor; where inlets have too few
// outlets, another must give one. Where neither is so, any may help.
func (c *connections) remedies(joins bipartite, set, usable []int) []int {
	outlets, taken := c.fill(joins, set, true)
	others := slices.DeleteFunc(slices.Clone(usable), func(a int) bool { return slices.Contains(set, a) })
	if rows := c.forth.crowded(outlets); rows != nil {
		places := c.outletsOf(set)
		return slices.DeleteFunc(others, func(a int) bool {
			return !slices.ContainsFunc(rows, func(row int) bool { return joins.any(places[row], c.takes[a]) })
		})
	}
	if rows := c.back.crowded(taken); rows != nil {
		places := c.takenBy(set)
		return slices.DeleteFunc(others, func(a int) bool {
			return !slices.ContainsFunc(rows, func(row int) bool { return joins.from(c.gives[a], places[row]) })
		})
	}
	return others
}

// usable returns the adaptors that can be part of a route: each plug that one takes
// comes from the harness or from adaptors applied before it, and each that it gives
// goes to the board or to adaptors applied after it. How many must be applied before
// and after tells whether there is room for it, and is returned for each adaptor.
// What an unusable adaptor gives or takes does not count, so this is repeated until
// nothing changes.
func (c *connections) usable(joins bipartite) (usable, neighbours []int) {
	usable, neighbours = make([]int, len(c.adaptors)), make([]int, len(c.adaptors))
	for a := range usable {
		usable[a] = a
	}
	for {
		before, after := c.fed(joins, usable), c.drained(joins, usable)
		for a := range neighbours {
			neighbours[a] = before[a] + after[a]
		}
		kept := slices.DeleteFunc(slices.Clone(usable), func(a int) bool { return neighbours[a] >= MaxAdaptors })
		if len(kept) == len(usable) {
			return usable, neighbours
		}
		usable = kept
	}
}

// fed returns for each adaptor how many of those that are usable must be applied
// before it at the least, so that each plug it takes can come from the harness or one
// of these; MaxAdaptors where that is too many.
func (c *connections) fed(joins bipartite, usable []int) []int {
	reached := make([]uint64, joins.words) // inlets that an outlet may go to
	offer := func(outlets run) {
		for o := outlets.from; o < outlets.to; o++ {
			for w, word := range joins.row(o) {
				reached[w] |= word
			}
		}
	}
	offer(run{0, c.plugs})
	return c.rounds(usable, func(a int) bool {
		for inlet := c.takes[a].from; inlet < c.takes[a].to; inlet++ {
			if reached[inlet/64]&(1<<(inlet%64)) == 0 {
				return false
			}
		}
		return true
	}, func(a int) { offer(c.gives[a]) })
}

// drained is like fed for what an adaptor gives: how many must be applied after it.
func (c *connections) drained(joins bipartite, usable []int) []int {
	open := make([]uint64, joins.words) // inlets that are there
	provide := func(inlets run) {
		for i := inlets.from; i < inlets.to; i++ {
			open[i/64] |= 1 << (i % 64)
		}
	}
	provide(run{0, c.headers})
	return c.rounds(usable, func(a int) bool {
		for outlet := c.gives[a].from; outlet < c.gives[a].to; outlet++ {
			if !overlap(joins.row(outlet), open) {
				return false
			}
		}
		return true
	}, func(a int) { provide(c.takes[a]) })
}

func overlap(a, b []uint64) bool {
	for w := range a {
		if a[w]&b[w] != 0 {
			return true
		}
	}
	return false
}

// rounds adds adaptors round by round: those that can be added beside the ones of
// the rounds before. It returns in which round each is added, from 0; MaxAdaptors
// where it is in none.
func (c *connections) rounds(usable []int, can func(a int) bool, add func(a int)) []int {
	round := make([]int, len(c.adaptors))
	for a := range round {
		round[a] = MaxAdaptors
	}
	var added []int
	for n := range MaxAdaptors {
		added = added[:0]
		for _, a := range usable {
			if round[a] == MaxAdaptors && can(a) {
				round[a] = n
				added = append(added, a)
			}
		}
		for _, a := range added {
			add(a)
		}
	}
	return round
}

// routes reports whether a set of adaptors, applied in some order, lets every
// plug seat. Most sets that do not would not either if every adaptor could take
// what any other gives, whatever the order.
func (c *connections) routes(joins bipartite, set []int) bool {
	if !c.routesInOrder(joins, set, true) {
		return false
	}
	return !c.feed(joins, set) || permuted(set, 0, func(order []int) bool { return c.routesInOrder(joins, order, false) })
}

// feed reports whether one of the adaptors could take what another gives; else
// the order in which they are applied makes no difference.
func (c *connections) feed(joins bipartite, set []int) bool {
	for _, a := range set {
		for _, b := range set {
			for o := c.gives[a].from; a != b && o < c.gives[a].to; o++ {
				if joins.any(o, c.takes[b]) {
					return true
				}
			}
		}
	}
	return false
}

// routesInOrder reports whether adaptors applied in this order let every plug
// seat: every outlet needs an inlet of its own, and every plug an adaptor takes
// an outlet of its own, of the harness or of an adaptor applied before; of any
// adaptor where anyOrder is set. It is enough that there is a matching for each side:
// then there is one that serves both (Mendelsohn and Dulmage 1958).
func (c *connections) routesInOrder(joins bipartite, order []int, anyOrder bool) bool {
	outlets, taken := c.fill(joins, order, anyOrder)
	return c.back.crowded(taken) == nil && c.forth.crowded(outlets) == nil
}

// fill makes forth the graph of the outlets that are there with adaptors applied in
// an order, to inlets, and back that of the plugs that these take, to outlets by
// their rows. It returns how many there are on the left of each.
func (c *connections) fill(joins bipartite, order []int, anyOrder bool) (outlets, taken int) {
	outlets = c.plugs
	for _, a := range order {
		outlets += c.gives[a].size()
		taken += c.takes[a].size()
	}
	forth, back := &c.forth, &c.back
	forth.clear(outlets, c.firstTaken+len(c.taken))
	back.clear(taken, outlets)
	row, passed := 0, 0
	giver, from, later := -1, run{0, c.plugs}, order // the outlets, and the adaptors that may take them
	for stage := 0; ; stage++ {
		for outlet := from.from; outlet < from.to; outlet++ {
			forth.copyRow(row, joins, outlet, c.headers)
			i := passed
			for _, a := range later {
				for inlet := c.takes[a].from; inlet < c.takes[a].to; inlet++ {
					if a != giver && joins.joined(outlet, inlet) {
						forth.join(row, inlet)
						back.join(i, row)
					}
					i++
				}
			}
			row++
		}
		if stage == len(order) {
			return outlets, taken
		}
		giver = order[stage]
		from = c.gives[giver]
		if !anyOrder {
			later = order[stage+1:]
			passed += c.takes[giver].size()
		}
	}
}

// outletsOf returns the places of the plugs that are present with a set of adaptors.
// They are valid until the next call.
func (c *connections) outletsOf(set []int) []int {
	places := c.present[:0]
	for plug := range c.plugs {
		places = append(places, plug)
	}
	for _, a := range set {
		for o := c.gives[a].from; o < c.gives[a].to; o++ {
			places = append(places, o)
		}
	}
	c.present = places
	return places
}

// takenBy returns the places of the plugs that a set of adaptors takes.
func (c *connections) takenBy(set []int) []int {
	var places []int
	for _, a := range set {
		for i := c.takes[a].from; i < c.takes[a].to; i++ {
			places = append(places, i)
		}
	}
	return places
}

// inOrder reports whether an outlet is present before the adaptor that takes the
// inlet is applied.
func (c *connections) inOrder(order []int, outlet, inlet int) bool {
	if outlet < c.plugs {
		return true
	}
	for _, a := range order {
		switch {
		case c.takes[a].has(inlet):
			return false
		case c.gives[a].has(outlet):
			return true
		}
	}
	return false
}

// permuted reports whether some order of the items from k on is good. It leaves the
// items as they were.
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

// swappable returns the pairs of headers of the board, by marking, that one plug
// would go onto by ways, pitch and key although their circuits differ or are not
// recorded, of the plugs present with a set of adaptors: one wrong connection can
// destroy the board.
func (c *connections) swappable(set []int) [][2]string {
	var found [][2]string
	for _, outlet := range c.outletsOf(set) {
		board := run{0, c.headers}
		for i := c.pairs.shaped.next(outlet, 0); board.has(i); i = c.pairs.shaped.next(outlet, i+1) {
			for j := c.pairs.shaped.next(outlet, i+1); board.has(j); j = c.pairs.shaped.next(outlet, j+1) {
				pair := [2]string{c.inlet(i).Marking, c.inlet(j).Marking}
				if !sameCircuits(c.inlet(i), c.inlet(j)) && !slices.Contains(found, pair) {
					found = append(found, pair)
				}
			}
		}
	}
	slices.SortFunc(found, func(a, b [2]string) int { return slices.Compare(a[:], b[:]) })
	return found
}
