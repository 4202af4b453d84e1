package draw

import (
	"strconv"

	"standin"
)

// usualPitch stands for a pitch that is not recorded, in millimetres.
const usualPitch = 5

// unknownWays is how many pins a connector is drawn with whose ways are not recorded.
const unknownWays = 3

// connector is one plug or header with its place.
type connector struct {
	*standin.Connector
	x, y   float64 // of its captions
	mark   string  // what it may be taken for; empty: nothing
	spare  bool    // nothing goes on it
	tick   bool    // it is put on, and has a box to tick
	atTop  float64 // of its strip of pins
	atEnd  float64 // of its strip, the right one
	placed bool
}

// about is the ways, the pitch and the key, as far as recorded.
func (c *connector) about() string {
	said := "?"
	if n, ok := c.Ways.Get(); ok {
		said = strconv.Itoa(n)
	}
	if pitch, ok := c.PitchMM.Get(); ok {
		said += "×" + standin.Figure(pitch)
	}
	if key, ok := c.Key.Get(); ok {
		said += " " + key
	}
	return said
}

func (c *connector) name() string {
	if c.mark != "" {
		return c.Marking + " ⇄" + c.mark
	}
	if c.spare {
		return c.Marking + " free"
	}
	return c.Marking
}

// pins is how many are drawn.
func (c *connector) pins() int {
	if n, ok := c.Ways.Get(); ok && n > 0 {
		return min(n, mostPins)
	}
	return unknownWays
}

// mostPins is as many as are drawn of one connector: more would be a grey bar.
const mostPins = 60

// length is that of the connector in millimetres.
func (c *connector) length() float64 {
	return float64(c.pins()) * c.PitchMM.Or(usualPitch)
}

// recorded reports whether all that decides what it seats on is recorded.
func (c *connector) recorded() bool {
	return c.Ways.Known && c.PitchMM.Known && c.Key.Known && c.Circuits.Known
}

// strip draws the pins from left to right: filled ones carry a circuit, empty ones
// none, as far as recorded; pin 1 has a corner.
func (c *connector) strip(d *Drawing, scale, height float64) {
	pitch := c.PitchMM.Or(usualPitch) * scale
	n := c.pins()
	width := pitch * float64(n)
	outline := Thin
	if !c.recorded() {
		outline = Dashed
	}
	if c.mark != "" {
		outline = Heavy
	}
	d.box(Box{X: c.x, Y: c.atTop, Width: width, Height: height, Stroke: outline})
	circuits, known := c.Circuits.Get()
	side := min(pitch*0.6, height*0.6)
	for i := range n {
		used := known && i < len(circuits) && circuits[i] != standin.Unused
		d.box(Box{X: c.x + pitch*(float64(i)+0.5) - side/2, Y: c.atTop + (height-side)/2, Width: side, Height: side, Filled: used})
	}
	corner := height * 0.35
	d.shape(Point{c.x, c.atTop}, Point{c.x + corner, c.atTop}, Point{c.x, c.atTop + corner})
	c.atEnd = c.x + width
}
