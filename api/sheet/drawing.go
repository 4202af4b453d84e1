package sheet

import "standin/api/draw"

// The strokes of drawings, in millimetres: thick enough for a copy of a copy.
const (
	thinStroke  = 0.25
	heavyStroke = 0.6
)

// drawing adds a drawing, whose unit is a millimetre.
func (f *flow) drawing(d *draw.Drawing) {
	f.add(d.Height, func(y float64) { f.draw(d, f.x, y) })
}

// draw draws it with its top left corner at a place.
func (p *paper) draw(d *draw.Drawing, x, y float64) {
	p.pdf.SetFillColor(0, 0, 0)
	for i := range d.Boxes {
		p.drawBox(&d.Boxes[i], x, y)
	}
	for i := range d.Lines {
		p.drawLine(&d.Lines[i], x, y)
	}
	for i := range d.Texts {
		p.drawText(&d.Texts[i], x, y)
	}
	p.pdf.SetDashPattern(nil, 0)
}

func (p *paper) stroke(s draw.Stroke) {
	p.pdf.SetLineWidth(thinStroke)
	p.pdf.SetDashPattern(nil, 0)
	switch s {
	case draw.Heavy:
		p.pdf.SetLineWidth(heavyStroke)
	case draw.Dashed:
		p.pdf.SetLineWidth(thinStroke * 1.5)
		p.pdf.SetDashPattern([]float64{1.2, 0.8}, 0)
	case draw.Thin:
	}
}

func (p *paper) drawBox(b *draw.Box, x, y float64) {
	p.stroke(b.Stroke)
	style := "D"
	if b.Filled {
		style = "DF"
	}
	if b.Round {
		p.pdf.RoundedRect(x+b.X, y+b.Y, b.Width, b.Height, min(b.Width, b.Height)/2, "1234", style)
		return
	}
	p.pdf.Rect(x+b.X, y+b.Y, b.Width, b.Height, style)
}

func (p *paper) drawLine(l *draw.Line, x, y float64) {
	p.stroke(l.Stroke)
	for i, at := range l.Points {
		if i == 0 {
			p.pdf.MoveTo(x+at.X, y+at.Y)
			continue
		}
		p.pdf.LineTo(x+at.X, y+at.Y)
	}
	if l.Filled {
		p.pdf.ClosePath()
		p.pdf.DrawPath("F")
		return
	}
	p.pdf.DrawPath("D")
}

// drawText draws a line of type, squeezed into its room.
func (p *paper) drawText(t *draw.Text, x, y float64) {
	style := regular
	if t.Bold {
		style = bold
	}
	points := t.Size / point
	text := printable(p.say(t.Text))
	width := p.width(text, style, points)
	squeeze := 1.0
	if t.Room > 0 && width > t.Room {
		text = p.shortened(t.Text, style, points, t.Room/leastSqueeze)
		width = p.width(text, style, points)
		squeeze = min(1, t.Room/width)
	}
	left := x + t.X - width*squeeze*float64(t.Anchor)/2
	if squeeze < 1 {
		p.pdf.TransformBegin()
		p.pdf.TransformScaleX(100*squeeze, left, y+t.Y)
		defer p.pdf.TransformEnd()
	}
	p.set(style, points)
	p.pdf.Text(left, y+t.Y, text)
}

// leastSqueeze is how narrow letters may become, as a share of their width.
const leastSqueeze = 0.75
