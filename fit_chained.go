package standin

import (
	"slices"
	"strings"
)

// chained are adaptors and what they may be joined to among themselves, whatever
// harness and board they are put between. Its places count from 0. It is not changed
// once it is made.
type chained struct {
	adaptors     []*Adaptor   // in order of part number
	given, taken []*Connector // by the adaptors
	gives, takes []run        // places in given and in taken, by adaptor
	pairs        pairs
}

var noAdaptors = newChained(nil)

func newChained(adaptors []*Adaptor) *chained {
	c := &chained{adaptors: adaptors}
	for _, a := range adaptors {
		c.gives = append(c.gives, appendConnectors(&c.given, a.Gives))
		c.takes = append(c.takes, appendConnectors(&c.taken, a.Takes))
	}
	c.pairs.clear(len(c.given), len(c.taken))
	for o, outlet := range c.given {
		for i, inlet := range c.taken {
			c.pairs.compare(o, i, outlet, inlet)
		}
	}
	return c
}

// appendConnectors appends the connectors of a layout and returns their places.
func appendConnectors(connectors *[]*Connector, layout *Layout) run {
	from := len(*connectors)
	for i := range layout.Connectors {
		*connectors = append(*connectors, &layout.Connectors[i])
	}
	return run{from, len(*connectors)}
}

// nameOf tells adaptors from others of the same catalogue.
func nameOf(adaptors []*Adaptor) string {
	var b strings.Builder
	for _, a := range adaptors {
		b.WriteString(a.PartNumber)
		b.WriteByte(0)
	}
	return b.String()
}

// pairs are the pairs of outlets and inlets that may be joined.
type pairs struct {
	shaped   bipartite // mate by ways, pitch and key
	possible bipartite // … and do not fail in circuits
	sure     bipartite // … and pass
}

// clear makes it pairs of so many outlets and inlets with none joined, and reuses its
// space.
func (p *pairs) clear(outlets, inlets int) {
	p.shaped.clear(outlets, inlets)
	p.possible.clear(outlets, inlets)
	p.sure.clear(outlets, inlets)
}

// copyFrom joins as others are; see bipartite.copyFrom.
func (p *pairs) copyFrom(others *pairs, outlets, inlets int) {
	p.shaped.copyFrom(others.shaped, outlets, inlets)
	p.possible.copyFrom(others.possible, outlets, inlets)
	p.sure.copyFrom(others.sure, outlets, inlets)
}

// certain reports whether no pair is in doubt.
func (p *pairs) certain() bool { return slices.Equal(p.sure.bits, p.possible.bits) }

// compare is rule 5 for one outlet and one inlet, at places o and i.
func (p *pairs) compare(o, i int, outlet, inlet *Connector) {
	if waysDiffer(outlet, inlet) {
		return
	}
	shape := mates(outlet, inlet)
	if shape == Fail {
		return
	}
	p.shaped.join(o, i)
	circuits := carries(outlet, inlet)
	if circuits == Fail {
		return
	}
	p.possible.join(o, i)
	if shape == Pass && circuits == Pass {
		p.sure.join(o, i)
	}
}
