package draw

import (
	"slices"

	"standin"
)

// Joins is which plug goes where, from a harness through adaptors to a board.
type Joins struct {
	Harness     *standin.Layout // nil: not recorded
	Board       *standin.Layout // nil: not recorded
	Adaptors    map[string]*standin.Adaptor
	Connections []standin.Connection
	Swappable   [][2]string // headers of the board that the same plug seats on
}

// JoinsOf is which plug goes where for one build of an answer.
func JoinsOf(a *standin.Answer, c *standin.Candidate, build int) Joins {
	b := &c.Builds[build]
	j := Joins{Board: c.Layout, Adaptors: a.Adaptors, Connections: b.Connections, Swappable: b.Swappable}
	if build < len(a.Builds) {
		j.Harness = a.Builds[build].Layout
	}
	return j
}

// JoinsOfJob is which plug goes where for one of the harnesses of a job.
func JoinsOfJob(j *standin.Job, h standin.Harness) Joins {
	return Joins{Harness: h.Layout, Board: j.Board.Layout, Adaptors: j.Answer.Adaptors, Connections: h.Connections, Swappable: j.Swappable}
}

// Any reports whether there is anything to draw: some plug that goes somewhere.
func (j *Joins) Any() bool { return j.Harness != nil && len(j.Connections) > 0 }

// SameAs reports whether two joins of one board put the same plugs on the same
// connectors.
func (j *Joins) SameAs(other Joins) bool {
	return slices.EqualFunc(j.Connections, other.Connections, func(a, b standin.Connection) bool {
		return a.From == b.From && a.To == b.To && a.Certain == b.Certain
	})
}

// places are the connectors of a drawing of joins, and where the next ones go.
type places struct {
	*Joins
	d             *Drawing
	room          Room
	scale         float64 // of a millimetre of connector
	harness       column
	board         column
	adaptors      []*adaptor // in the order in which they are reached
	columns       int        // of adaptors beside each other
	columnWidth   float64
	gap           float64 // between columns, for the lines
	oneLine       bool    // the captions stand beside each other
	depthOf       map[string]int
	adaptorBottom []float64 // by column
}

// Draw is the harness on the left, the board on the right and the adaptors between,
// with a line from each plug to what it goes on. Plugs stand where their lines are
// level as far as can be.
func (j Joins) Draw(room Room) *Drawing {
	d := &Drawing{Width: room.Width, Title: "Which plug goes where", About: j.said()}
	p := &places{Joins: &j, d: d, room: room}
	p.measure()
	y := p.heads()
	p.harness.bottom, p.board.bottom = y, y
	for i := range p.adaptorBottom {
		p.adaptorBottom[i] = y
	}
	for _, c := range p.harness.all {
		wanted := p.lowest()
		if p.leadsToAdaptor(c) {
			wanted += leading * p.room.Size // its name stands above
		}
		p.put(&p.harness, c, wanted)
		p.follow("", c)
	}
	for _, c := range p.board.all {
		if !c.placed {
			c.spare = true
			p.put(&p.board, c, p.board.bottom)
		}
	}
	p.drawAll()
	d.Height = d.text(Text{Text: legend, Size: room.Size, Room: room.Width}, p.lowest()) + 0.1*room.Size
	return d
}

// legend explains what is said of connectors.
const legend = "10×5 B: ways × pitch in mm, key"

// measure decides how wide the columns are, and how large the connectors.
func (p *places) measure() {
	p.depthOf = p.depths()
	for _, depth := range p.depthOf {
		p.columns = max(p.columns, depth)
	}
	p.adaptorBottom = make([]float64, p.columns)
	p.harness.all, p.board.all = connectorsOf(p.Harness), connectorsOf(p.Board)
	p.mark()
	p.gap = 2.4 * p.room.Size
	columns := float64(2 + 2*p.columns)
	gaps := float64(1 + p.columns)
	p.columnWidth = (p.room.Width - gaps*p.gap) / columns
	longest, widest := 1.0, 0.0
	see := func(all []*connector) {
		for _, c := range all {
			longest = max(longest, c.length())
			widest = max(widest, wide(c.name()+" "+c.about(), p.room.Size))
		}
	}
	see(p.harness.all)
	see(p.board.all)
	for _, c := range p.Connections {
		for _, part := range []string{c.From.Part, c.To.Part} {
			if a := p.adaptor(part); a != nil {
				see(a.takes.all)
				see(a.gives.all)
			}
		}
	}
	p.oneLine = widest <= p.columnWidth-p.tickRoom()
	p.scale = min((p.columnWidth-0.4*p.room.Size)/longest, 0.16*p.room.Size)
	p.harness.x, p.board.x = 0, p.room.Width-p.columnWidth
}

// tickRoom is that of a box to tick before a caption.
func (p *places) tickRoom() float64 {
	if p.room.Ticks {
		return 1.3 * p.room.Size
	}
	return 0
}

// depths are the columns of the adaptors from 1: one that takes a plug of another
// stands behind it.
func (p *places) depths() map[string]int {
	depths := map[string]int{}
	for _, c := range p.Connections {
		if c.To.Part != "" {
			depths[c.To.Part] = 1
		}
	}
	for range len(depths) {
		for _, c := range p.Connections {
			if from, ok := depths[c.From.Part]; ok && c.To.Part != "" {
				depths[c.To.Part] = min(len(depths), max(depths[c.To.Part], from+1))
			}
		}
	}
	return depths
}

// mark notes what plugs and headers may be taken for.
func (p *places) mark() {
	for i, c := range p.harness.all {
		if others := p.Harness.Lookalikes(i); len(others) > 0 {
			c.mark = others[0]
		}
	}
	for _, pair := range p.Swappable {
		for i := range pair {
			if c := p.board.named(pair[i]); c != nil && c.mark == "" {
				c.mark = pair[1-i]
			}
		}
	}
}

// heads names the columns.
func (p *places) heads() float64 {
	width := p.columnWidth
	p.d.text(Text{X: 0, Text: "harness", Size: p.room.Size, Room: width}, 0)
	if p.columns > 0 {
		p.d.text(Text{X: p.adaptorX(1), Text: "adaptor", Size: p.room.Size, Room: 2 * width}, 0)
	}
	return p.d.text(Text{X: p.board.x, Text: "board", Size: p.room.Size, Room: width}, 0) + 0.2*p.room.Size
}

// adaptorX is the left of the adaptors of a column, from 1.
func (p *places) adaptorX(column int) float64 {
	return p.columnWidth + p.gap + float64(column-1)*(2*p.columnWidth+p.gap)
}

// leadsToAdaptor reports whether a plug of the harness goes on an adaptor that has no
// place yet.
func (p *places) leadsToAdaptor(plug *connector) bool {
	return slices.ContainsFunc(p.Connections, func(c standin.Connection) bool {
		a := p.adaptor(c.To.Part)
		return c.From.Part == "" && c.From.Connector == plug.Marking && a != nil && a.top == 0
	})
}

// lowest is below everything that has a place.
func (p *places) lowest() float64 {
	return slices.Max(append([]float64{p.harness.bottom, p.board.bottom}, p.adaptorBottom...))
}

// follow gives a place to what a plug goes on, and to all behind it.
func (p *places) follow(part string, plug *connector) {
	for i := range p.Connections {
		c := &p.Connections[i]
		if c.From.Part != part || c.From.Connector != plug.Marking {
			continue
		}
		if c.To.Part != "" {
			p.putAdaptor(c.To.Part, plug.y)
			continue
		}
		if header := p.board.named(c.To.Connector); header != nil && !header.placed {
			p.put(&p.board, header, plug.y)
		}
	}
}
