package draw

import (
	"strconv"
	"strings"

	"standin"
)

// CodeMap is which place of the code each read-back point shows, as learnt from what is
// recorded.
type CodeMap struct {
	Points []standin.PointMap
	Places int // of a code
}

// Draw is a line for each point and a column for each place: a disc where the point
// shows the place without exception, a ring where some rows stand against it, = where the
// point is always the same, ? where nothing is known. Nil where there is nothing to draw.
func (m CodeMap) Draw(room Room) *Drawing {
	if len(m.Points) == 0 || m.Places == 0 {
		return nil
	}
	d := &Drawing{Width: room.Width, Title: "Which point shows which place of the code", About: m.said()}
	size := room.Size
	left := wide("place", size)
	for i := range m.Points {
		left = max(left, wide(m.name(i), size))
	}
	left = min(left, room.Width/2) + 0.8*size
	step := min(2.2*size, (room.Width-left-1.2*size)/float64(m.Places))
	at := func(place int) float64 { return left + step*(float64(place)-0.5) }
	y := d.text(Text{X: 0, Text: "place", Size: size, Room: left - 0.8*size}, 0)
	for place := range m.Places {
		d.text(Text{X: at(place + 1), Text: strconv.Itoa(place + 1), Size: size, Room: step, Anchor: Middle}, 0)
	}
	for i := range m.Points {
		p := &m.Points[i]
		d.line(Thin, Point{0, y}, Point{left + step*float64(m.Places), y})
		for _, place := range p.Places {
			d.box(Box{X: at(place) - 0.35*size, Y: y + 0.28*size, Width: 0.7 * size, Height: 0.7 * size, Round: true, Filled: p.LeaveOut == 0})
		}
		if mark := unplaced(p); mark != "" {
			d.text(Text{X: left + step*float64(m.Places) + 0.6*size, Text: mark, Size: size, Room: size, Anchor: Middle, Bold: true}, y)
		}
		y = d.text(Text{X: 0, Text: m.name(i), Size: size, Room: left - 0.8*size}, y)
	}
	d.Height = y
	return d
}

// unplaced is what stands for a point that shows no place.
func unplaced(p *standin.PointMap) string {
	switch {
	case len(p.Places) > 0:
		return ""
	case p.Constant != 0:
		return "="
	}
	return "?"
}

func (m *CodeMap) name(i int) string { return strconv.Itoa(i+1) + " " + m.Points[i].Point }

// said says the same as a list.
func (m *CodeMap) said() string {
	var said []string
	for i := range m.Points {
		p := &m.Points[i]
		switch {
		case p.Constant != 0:
			said = append(said, m.name(i)+" always shows the same")
		case len(p.Places) == 0:
			said = append(said, m.name(i)+" is not known")
		case len(p.Places) == 1:
			said = append(said, m.name(i)+" shows place "+strconv.Itoa(p.Places[0]))
		default:
			said = append(said, m.name(i)+" shows places "+strconv.Itoa(p.Places[0])+" + "+strconv.Itoa(p.Places[1]))
		}
		if p.LeaveOut > 0 {
			said = append(said, "with exceptions")
		}
	}
	return "Points: " + strings.Join(said, ", ") + "."
}
