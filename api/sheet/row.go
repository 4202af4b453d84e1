package sheet

import (
	"slices"
	"strings"
)

// The parts of a row, in millimetres.
const (
	tickSize  = 3.4
	boxHeight = 6.5 // of a box to write in
	cellAir   = 0.9 // between cells, and beside what is in them
	noteAir   = 0.6 // above small words below a line
	mostLines = 40  // of text in one row; at the largest type half a page
)

// cell is a part of a row: text, an empty box to write in, a box to tick, or
// several with a word each.
type cell struct {
	lead  string // before the text, bold
	text  string
	style string
	box   bool
	tick  bool
	ticks []string
}

// row adds cells of these widths beside each other, with a thin line below. One
// with more text than a page holds goes on as further rows.
func (f *flow) row(widths []float64, cells ...cell) {
	texts := make([][]string, len(cells))
	longest := 0
	cells = slices.Clone(cells)
	for i := range cells {
		c := &cells[i]
		c.lead, c.text = f.say(c.lead), f.say(c.text)
		texts[i] = f.wrap(f.indented(c.lead)+c.text, c.style, f.points, widths[i]-cellAir)
		longest = max(longest, len(texts[i]))
	}
	for from := 0; from == 0 || from < longest; from += mostLines {
		part := make([][]string, len(texts))
		for i, lines := range texts {
			part[i] = lines[min(from, len(lines)):min(from+mostLines, len(lines))]
		}
		if from > 0 {
			cells = textOnly(cells)
		}
		f.rowOf(slices.Clone(widths), cells, part)
	}
}

// indented is the room of a lead: spaces at which no line is broken.
func (f *flow) indented(lead string) string {
	if lead == "" {
		return ""
	}
	space := f.width(string(unbroken), regular, f.points)
	return strings.Repeat(string(unbroken), int(f.width(lead+" ", bold, f.points)/space)+1)
}

// textOnly are cells without what is ticked or filled in.
func textOnly(cells []cell) []cell {
	only := make([]cell, len(cells))
	for i, c := range cells {
		only[i] = cell{style: c.style}
	}
	return only
}

func (f *flow) rowOf(widths []float64, cells []cell, texts [][]string) {
	height := 0.0
	for i, c := range cells {
		height = max(height, f.cellHeight(c, len(texts[i])))
	}
	height += cellAir
	f.add(height, func(y float64) {
		x := f.x
		for i, c := range cells {
			f.drawCell(c, texts[i], x, y+cellAir/2, widths[i]-cellAir, height-cellAir)
			x += widths[i]
		}
		f.line(f.x, y+height, x-f.x, 0.15)
	})
}

// note is a small paragraph below a row.
func (f *flow) note(text string) {
	f.gap(noteAir)
	f.lines(text, regular, f.points)
}

func (f *flow) cellHeight(c cell, lines int) float64 {
	height := float64(lines) * f.lead()
	switch {
	case c.box:
		height = max(height, boxHeight)
	case c.tick:
		height = max(height, tickSize)
	case len(c.ticks) > 0:
		height += leading(caption) + 0.5
	}
	return height
}

func (f *flow) drawCell(c cell, lines []string, x, y, width, height float64) {
	if c.lead != "" {
		f.text(x, y, f.shortened(c.lead, bold, f.points, width), bold, f.points)
	}
	for i, line := range lines {
		f.text(x, y+float64(i)*f.lead(), line, c.style, f.points)
	}
	switch {
	case c.box:
		f.box(x, y, width, height, 0.3)
	case c.tick:
		f.box(x, y, tickSize, tickSize, 0.3)
	case len(c.ticks) > 0:
		f.drawTicks(c.ticks, x, y+float64(len(lines))*f.lead()+0.5)
	}
}

// drawTicks draws boxes to tick beside each other, each before its word.
func (f *flow) drawTicks(words []string, x, y float64) {
	const points = caption
	for _, word := range words {
		word = f.say(word)
		f.box(x, y, tickSize, tickSize, 0.3)
		x += tickSize + 0.7
		f.text(x, y+0.3, word, regular, points)
		x += f.width(word, regular, points) + 1.3
	}
}
