package draw

import (
	"math"
	"unicode/utf8"
)

// Drawing is what is drawn within a width and a height. Its unit is that of the
// room it was made for: a pixel of a page, a millimetre of paper. The origin is the
// top left.
type Drawing struct {
	Width, Height float64
	Title         string // what it is, for those who do not see it
	About         string // what it shows, in sentences
	Lines         []Line
	Boxes         []Box
	Texts         []Text
}

// Point is a place in a drawing.
type Point struct{ X, Y float64 }

// Stroke is how a line or an outline is drawn.
type Stroke uint8

// The strokes.
const (
	Thin Stroke = iota
	Heavy
	Dashed // thin, for what is not certain or not recorded
)

// Line joins points one after the other. A filled one is the outline of a shape.
type Line struct {
	Points []Point
	Stroke Stroke
	Filled bool
}

// Box is a rectangle, filled or an outline. A round one is a circle or, where it is
// longer than high, has round ends.
type Box struct {
	X, Y, Width, Height float64
	Stroke              Stroke
	Filled, Round       bool
}

// Anchor is the part of a text that stands at its place.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of type whose letters stand on Y. It is squeezed where it would
// be wider than its room.
type Text struct {
	X, Y   float64
	Text   string
	Size   float64
	Room   float64
	Anchor Anchor
	Bold   bool
}

// Room is what a drawing is made for: how wide it may be, and the size of its type.
type Room struct {
	Width, Size float64
	Ticks       bool // a box to tick beside whatever is done: for paper
}

// Of a line of type, as shares of its size: the height of a line, that of a capital,
// and the width of a letter, at most on the average.
const (
	leading = 1.25
	capital = 0.75
	letter  = 0.6
)

// wide is about as wide as a text is set.
func wide(text string, size float64) float64 {
	return float64(utf8.RuneCountInString(text)) * letter * size
}

func (d *Drawing) line(stroke Stroke, points ...Point) {
	d.Lines = append(d.Lines, Line{Points: points, Stroke: stroke})
}

func (d *Drawing) shape(points ...Point) {
	d.Lines = append(d.Lines, Line{Points: points, Filled: true})
}

func (d *Drawing) box(b Box) { d.Boxes = append(d.Boxes, b) }

// text sets a text whose capitals hang from y, and returns where the next line begins.
func (d *Drawing) text(t Text, y float64) float64 {
	t.Y = y + t.Size*(capital+(leading-capital)/2)
	if t.Text != "" {
		d.Texts = append(d.Texts, t)
	}
	return y + t.Size*leading
}

// halfDisc is the left half of a disc as a shape.
func halfDisc(x, y, radius float64) []Point {
	const corners = 12
	points := make([]Point, 0, corners+1)
	for i := range corners + 1 {
		at := math.Pi/2 + math.Pi*float64(i)/corners
		points = append(points, Point{x + radius*math.Cos(at), y - radius*math.Sin(at)})
	}
	return points
}
