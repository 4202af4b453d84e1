package draw

import (
	"slices"

	"standin"
)

// column is connectors below each other.
type column struct {
	x      float64
	bottom float64 // of the last one that has a place
	all    []*connector
}

// adaptor is one between harness and board: what it takes on its left, what it gives
// on its right.
type adaptor struct {
	part         string
	column       int // from 1
	takes, gives column
	top          float64
}

func connectorsOf(l *standin.Layout) []*connector {
	if l == nil {
		return nil
	}
	all := make([]*connector, len(l.Connectors))
	for i := range l.Connectors {
		all[i] = &connector{Connector: &l.Connectors[i]}
	}
	return all
}

func (c *column) named(marking string) *connector {
	at := slices.IndexFunc(c.all, func(one *connector) bool { return one.Marking == marking })
	if at < 0 {
		return nil
	}
	return c.all[at]
}

// adaptor is that of a part number, nil where it is not one of this drawing.
func (p *places) adaptor(part string) *adaptor {
	at := slices.IndexFunc(p.adaptors, func(a *adaptor) bool { return a.part == part })
	if at >= 0 {
		return p.adaptors[at]
	}
	recorded := p.Adaptors[part]
	if part == "" || recorded == nil {
		return nil
	}
	a := &adaptor{part: part, column: p.depthOf[part]}
	a.takes.all, a.gives.all = connectorsOf(recorded.Takes), connectorsOf(recorded.Gives)
	p.adaptors = append(p.adaptors, a)
	return a
}

// put gives a connector a place in a column, as high as wanted where there is room.
func (p *places) put(in *column, c *connector, wanted float64) {
	c.x, c.y = in.x, max(wanted, in.bottom)
	lines := 2.0
	if p.oneLine {
		lines = 1
	}
	c.atTop = c.y + lines*leading*p.room.Size
	c.placed = true
	in.bottom = c.atTop + p.stripHeight() + 0.55*p.room.Size
}

func (p *places) stripHeight() float64 { return 0.8 * p.room.Size }

// putAdaptor gives an adaptor a place, and all that its plugs go on.
func (p *places) putAdaptor(part string, wanted float64) {
	a := p.adaptor(part)
	if a == nil || a.top > 0 {
		return
	}
	a.top = max(wanted-leading*p.room.Size, p.adaptorBottom[a.column-1])
	x := p.adaptorX(a.column)
	edge := 0.4 * p.room.Size
	a.takes.x, a.gives.x = x+edge, x+p.columnWidth
	begin := a.top + leading*p.room.Size
	a.takes.bottom, a.gives.bottom = begin, begin
	for _, c := range a.takes.all {
		p.put(&a.takes, c, begin)
	}
	for _, c := range a.gives.all {
		p.put(&a.gives, c, begin)
	}
	p.adaptorBottom[a.column-1] = max(a.takes.bottom, a.gives.bottom) + edge
	for _, c := range a.gives.all {
		p.follow(part, c)
	}
}

// drawAll draws what has its places.
func (p *places) drawAll() {
	for i := range p.Connections {
		if from := p.end(p.Connections[i].From, true); from != nil {
			from.tick = true
		}
	}
	p.drawColumn(&p.harness)
	for _, a := range p.adaptors {
		if a.top == 0 {
			continue
		}
		x := p.adaptorX(a.column)
		bottom := max(a.takes.bottom, a.gives.bottom)
		p.d.box(Box{X: x, Y: a.top, Width: 2 * p.columnWidth, Height: bottom - a.top, Stroke: Heavy})
		p.d.text(Text{X: a.takes.x, Text: a.part, Size: p.room.Size, Room: 2*p.columnWidth - p.room.Size, Bold: true}, a.top+0.1*p.room.Size)
		p.drawColumn(&a.takes)
		p.drawColumn(&a.gives)
	}
	p.drawColumn(&p.board)
	if p.Board == nil {
		p.d.text(Text{X: p.board.x, Text: "not recorded", Size: p.room.Size, Room: p.columnWidth}, p.board.bottom)
		p.board.bottom += leading * p.room.Size
	}
	for i := range p.Connections {
		p.join(&p.Connections[i])
	}
}

func (p *places) drawColumn(in *column) {
	size := p.room.Size
	for _, c := range in.all {
		if !c.placed {
			continue
		}
		x := c.x
		if p.room.Ticks && c.tick {
			p.d.box(Box{X: x, Y: c.y + 0.15*size, Width: 0.9 * size, Height: 0.9 * size})
			x += p.tickRoom()
		}
		room := p.columnWidth - (x - c.x) - 0.6*size
		about := c.about()
		at := room
		if p.oneLine {
			at = wide(c.name()+" ", size)
		}
		below := p.d.text(Text{X: x, Text: c.name(), Size: size, Room: at, Bold: true}, c.y)
		if p.oneLine {
			p.d.text(Text{X: x + at, Text: about, Size: size, Room: room - at}, c.y)
		} else {
			p.d.text(Text{X: c.x, Text: about, Size: size, Room: p.columnWidth - 0.6*size}, below)
		}
		c.strip(p.d, p.scale, p.stripHeight())
	}
}

// end is the connector at an end of a join: a plug of the harness or of an adaptor,
// or what takes it.
func (p *places) end(e standin.ConnectionEnd, plug bool) *connector {
	if e.Part != "" {
		a := p.adaptor(e.Part)
		switch {
		case a == nil:
			return nil
		case plug:
			return a.gives.named(e.Connector)
		}
		return a.takes.named(e.Connector)
	}
	if plug {
		return p.harness.named(e.Connector)
	}
	return p.board.named(e.Connector)
}

// join draws the line of one connection; one that is not certain is dashed and has a
// question mark.
func (p *places) join(c *standin.Connection) {
	from, to := p.end(c.From, true), p.end(c.To, false)
	if from == nil || to == nil || !from.placed || !to.placed {
		return
	}
	half := p.stripHeight() / 2
	begin, end := Point{from.atEnd, from.atTop + half}, Point{to.x, to.atTop + half}
	turn := end.X - 0.5*p.gap // the slope is next to what it leads to
	stroke := Heavy
	if !c.Certain {
		stroke = Dashed
		p.d.text(Text{X: end.X - 0.9*p.room.Size, Text: "?", Size: p.room.Size, Bold: true}, end.Y-1.3*p.room.Size)
	}
	p.d.line(stroke, begin, Point{max(begin.X, turn-0.5*p.gap), begin.Y}, Point{max(begin.X, turn), end.Y}, end)
	tip := 0.3 * p.room.Size
	p.d.shape(end, Point{end.X - tip, end.Y - 0.7*tip}, Point{end.X - tip, end.Y + 0.7*tip})
}

// said is what is drawn, in sentences.
func (j *Joins) said() string {
	said := ""
	for i := range j.Connections {
		c := &j.Connections[i]
		one := j.endSaid(c.From, "plug ") + " goes on " + j.endSaid(c.To, "header ")
		if !c.Certain {
			one += ", which is not certain"
		}
		said += standin.Sentence(one) + " "
	}
	if caution := standin.SwappableCaution(j.Swappable...); caution != "" {
		said += caution + "."
	}
	return said
}

func (j *Joins) endSaid(e standin.ConnectionEnd, own string) string {
	if e.Part != "" {
		return "adaptor " + e.Part + " " + e.Connector
	}
	return own + e.Connector
}
