package standin

import "slices"

// connect returns which plug goes where, by a matching that seats every plug with a
// set of adaptors: first the plugs of the harness, then those of the adaptors.
func (c *connections) connect(joins bipartite, set []int, surely bool) []Connection {
	var order, outlets, inlets []int
	if len(set) == 0 && surely { // as most are
		outlets = c.outletsOf(nil)
		joins.matching(c.plugs, &c.ended)
		inlets = c.ended
	} else {
		order = c.orderOf(joins, set)
		c.from = append(c.from[:0], c.outletsOf(order)...)
		outlets = c.from
		inlets = c.match(joins, order, outlets)
	}
	all := make([]Connection, len(outlets))
	for row, outlet := range outlets {
		plug, header := c.outlet(outlet), c.inlet(inlets[row])
		all[row] = Connection{
			From:     ConnectionEnd{c.partOf(c.gives, outlet), plug.Marking},
			To:       ConnectionEnd{c.partOf(c.takes, inlets[row]), header.Marking},
			Ways:     firstKnown(plug.Ways, header.Ways),
			Circuits: firstKnown(plug.Circuits, header.Circuits),
			Certain:  surely || c.pairs.sure.joined(outlet, inlets[row]) && c.forced(joins, order, outlet, inlets[row]),
		}
	}
	return all
}

func firstKnown[T any](a, b Maybe[T]) Maybe[T] {
	if a.Known {
		return a
	}
	return b
}

// partOf returns the part number of the adaptor that a place belongs to, "" for one
// of the harness or the board.
func (c *connections) partOf(runs []run, place int) string {
	for a, r := range runs {
		if r.has(place) {
			return c.adaptors[a].PartNumber
		}
	}
	return ""
}

// orderOf returns an order in which a set of adaptors may be applied.
func (c *connections) orderOf(joins bipartite, set []int) []int {
	if !c.feed(joins, set) {
		return set
	}
	var found []int
	permuted(slices.Clone(set), 0, func(order []int) bool {
		if !c.routesInOrder(joins, order, false) {
			return false
		}
		found = slices.Clone(order)
		return true
	})
	return found
}

// match returns for each outlet an inlet of its own, such that every inlet of an
// adaptor is used too. Those of the adaptors are matched first, and stay matched
// while further paths are augmented; sure pairs are tried before the others.
func (c *connections) match(joins bipartite, order, outlets []int) []int {
	taken := c.takenBy(order)
	back, forth := &c.back, &c.forth
	back.clear(len(taken), len(outlets))
	forth.clear(len(outlets), c.firstTaken+len(c.taken))
	for row, outlet := range outlets {
		for i, inlet := range taken {
			if joins.joined(outlet, inlet) && c.inOrder(order, outlet, inlet) {
				back.join(i, row)
				forth.join(row, inlet)
			}
		}
	}
	c.placed = append(c.placed[:0], make([]bool, len(outlets))...)
	placed := c.placed
	for i := range taken {
		back.placeNew(i)
	}
	for row := range outlets {
		if holder := back.holder[row]; holder > 0 {
			forth.holder[taken[holder-1]], placed[row] = int32(row+1), true
		}
	}
	for _, pairs := range []bipartite{c.pairs.sure, joins} {
		for row, outlet := range outlets {
			for inlet := range c.headers {
				if pairs.joined(outlet, inlet) {
					forth.join(row, inlet)
				}
			}
		}
		for row := range outlets {
			placed[row] = placed[row] || forth.placeNew(row)
		}
	}
	c.ended = slices.Grow(c.ended[:0], len(outlets))[:len(outlets)]
	for inlet, holder := range forth.holder {
		if holder > 0 {
			c.ended[holder-1] = inlet
		}
	}
	return c.ended
}

// forced reports whether every way to seat all plugs joins this outlet to this
// inlet.
func (c *connections) forced(joins bipartite, order []int, outlet, inlet int) bool {
	rest := bipartite{joins.words, slices.Clone(joins.bits)}
	rest.unjoin(outlet, inlet)
	if len(order) == 0 {
		return rest.unmatched(c.plugs) >= 0
	}
	return !c.routes(rest, slices.Clone(order))
}
