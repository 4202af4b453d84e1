package sheet

import "fmt"

// A4 with its margins, in millimetres.
const (
	pageWidth  = 210
	pageHeight = 297
	margin     = 9
	gutter     = 4  // between columns
	footHeight = 5  // of the line at the end of a page
	headHeight = 6  // of the line on top of further pages
	caption    = 10 // points of the type that is filled in, pointed at or told by: what a bad copy must keep
	inside     = pageWidth - 2*margin
	bottom     = pageHeight - margin - footHeight
)

// block is a part of a sheet that stands on one page.
type block struct {
	height float64
	draw   func(y float64)
	keep   bool // stays on a page with the next: a heading
}

// flow is the blocks of a sheet at one size of type, in order.
type flow struct {
	*paper
	x, room float64 // of the column
	points  float64 // of the running text
	blocks  []block
	last    block  // stands at the end of the last page
	head    string // on top of every page but the first
}

// lead is the height of a line of the running text.
func (f *flow) lead() float64 { return leading(f.points) }

func leading(points float64) float64 { return points * point * 1.22 }

func (f *flow) add(height float64, draw func(y float64)) {
	f.blocks = append(f.blocks, block{height: height, draw: draw})
}

// keep adds what stays on a page with the next.
func (f *flow) keep(height float64, draw func(y float64)) {
	f.blocks = append(f.blocks, block{height: height, draw: draw, keep: true})
}

// kept is a paragraph that stays on a page with what follows.
func (f *flow) kept(text, style string, points float64) {
	for _, line := range f.wrap(text, style, points, f.room) {
		f.keep(leading(points), func(y float64) { f.text(f.x, y, line, style, points) })
	}
}

// beside is an empty flow on the same paper, for blocks that are to stand together.
func (f *flow) beside() *flow { return &flow{paper: f.paper, x: f.x, room: f.room, points: f.points} }

// columns are two empty flows beside each other.
func (f *flow) columns() (left, right *flow) {
	left, right = f.beside(), f.beside()
	left.room = (f.room - gutter) / 2
	right.room = left.room
	right.x += left.room + gutter
	return left, right
}

// inColumns adds two flows beside each other, as one block.
func (f *flow) inColumns(left, right *flow) {
	l, r := left.together(), right.together()
	f.add(max(l.height, r.height), func(y float64) {
		l.draw(y)
		r.draw(y)
	})
}

// together is everything of a flow as one block.
func (f *flow) together() block {
	height := 0.0
	for _, b := range f.blocks {
		height += b.height
	}
	return block{height: height, draw: func(y float64) {
		for _, b := range f.blocks {
			b.draw(y)
			y += b.height
		}
	}}
}

// gap is room between blocks.
func (f *flow) gap(height float64) { f.add(height, func(float64) {}) }

// heading begins a section.
func (f *flow) heading(text string) {
	const points = caption
	height := leading(points) + 2.2
	f.blocks = append(f.blocks, block{height: height, keep: true, draw: func(y float64) {
		f.line(f.x, y+0.9, f.room, 0.5)
		f.text(f.x, y+1.7, f.shortened(text, bold, points, f.room), bold, points)
	}})
}

// lines is a paragraph.
func (f *flow) lines(text, style string, points float64) {
	for _, line := range f.wrap(text, style, points, f.room) {
		f.add(leading(points), func(y float64) { f.text(f.x, y, line, style, points) })
	}
}

// placed is a block with its place.
type placed struct {
	block
	page int
	y    float64
}

// place sets the blocks on pages, as few as they take in this order.
func (f *flow) place() (all []placed, pages int) {
	pages = 1
	y := float64(margin)
	turn := func() { pages, y = pages+1, margin+headHeight }
	for i, b := range f.blocks {
		need := b.height
		for next := i; f.blocks[next].keep && next+1 < len(f.blocks); next++ {
			need += f.blocks[next+1].height
		}
		if y+need > bottom && y > margin+headHeight {
			turn()
		}
		all = append(all, placed{b, pages, y})
		y += b.height
	}
	if f.last.draw != nil {
		if y+f.last.height > bottom && y > margin {
			turn()
		}
		all = append(all, placed{f.last, pages, max(margin, bottom-f.last.height)})
	}
	return all, pages
}

// print draws the pages, each with a line at its end.
func (f *flow) print(all []placed, pages int, foot string) {
	page := 0
	for _, b := range all {
		for ; page < b.page; page++ {
			f.newPage()
			f.foot(foot, page+1, pages)
			if page > 0 {
				f.text(margin, margin, f.shortened(f.head, bold, caption, inside), bold, caption)
			}
		}
		b.draw(b.y)
	}
}

func (f *flow) foot(text string, page, pages int) {
	const points = 8
	number := f.say(fmt.Sprintf("page %d of %d", page, pages))
	width := f.width(number, regular, points)
	y := float64(pageHeight - margin - leading(points))
	f.text(pageWidth-margin-width, y, number, regular, points)
	f.text(margin, y, f.shortened(text, regular, points, inside-width-4), regular, points)
}
