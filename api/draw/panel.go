package draw

import (
	"slices"
	"strconv"
	"strings"

	"standin"
)

// Panel is the read-back points of a family as they lie, with what each must show,
// boxes to tick what it shows, or neither.
type Panel struct {
	Family  *standin.Family
	Pattern standin.Pattern // empty: nothing is said of what they show
	Boxes   bool            // to tick what is seen
}

// mostBeside is how many points stand beside each other where the panel is not
// recorded.
const mostBeside = 5

// Rows are the points as they lie, by their place in the order of reading: as the
// catalogue has the panel, else in rows in that order.
func (p *Panel) Rows() [][]int {
	if len(p.Family.Panel) == 0 {
		all := make([]int, len(p.Family.Readback))
		for i := range all {
			all[i] = i
		}
		return slices.Collect(slices.Chunk(all, mostBeside))
	}
	rows := make([][]int, len(p.Family.Panel))
	for i, names := range p.Family.Panel {
		for _, name := range names {
			if point := slices.Index(p.Family.Readback, name); point >= 0 {
				rows[i] = append(rows[i], point)
			}
		}
	}
	return rows
}

// Draw is the panel with a cell for each point: its number in the order of reading,
// its name, and below it a lamp or what it shows.
func (p Panel) Draw(room Room) *Drawing {
	d := &Drawing{Width: room.Width, Title: "Read-back points", About: p.said()}
	if len(p.Family.Panel) > 0 {
		d.Title += " as they lie on the panel"
	}
	beside, y := 1, 0.0
	rows := p.Rows()
	for _, row := range rows {
		beside = max(beside, len(row))
	}
	width := room.Width / float64(beside)
	for _, row := range rows {
		left := (room.Width - width*float64(len(row))) / 2 // as shorter rows mostly lie
		if len(p.Family.Panel) == 0 {
			left = 0
		}
		names := make([][]string, len(row))
		lines := 0
		for i, point := range row {
			names[i] = broken(strconv.Itoa(point+1)+" "+p.Family.Readback[point], (width-0.4*room.Size)/squeezed, room.Size)
			lines = max(lines, len(names[i]))
		}
		end := y
		for i, point := range row {
			x, at := left+width*float64(i), y
			for _, part := range names[i] {
				at = d.text(Text{X: x, Text: part, Size: room.Size, Room: width - 0.4*room.Size, Bold: true}, at)
			}
			end = max(end, p.cell(d, point, x, y+float64(lines)*leading*room.Size, width-0.4*room.Size, room.Size))
		}
		y = end + 0.3*room.Size
	}
	d.Height = y
	return d
}

// broken is a name in lines, at spaces, each as wide as the room where its words allow.
func broken(name string, room, size float64) []string {
	var lines []string
	for word := range strings.FieldsSeq(name) {
		last := len(lines) - 1
		if last >= 0 && wide(lines[last]+" "+word, size) <= room {
			lines[last] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	return lines
}

// cell draws what stands below the name of one point, and returns where it ends.
func (p *Panel) cell(d *Drawing, point int, x, y, room, size float64) float64 {
	switch {
	case p.Boxes:
		return p.toTick(d, point, x, y, room, size)
	case point < len(p.Pattern):
		return p.shown(d, point, x, y, room, size)
	}
	lamp(d, x, y, size, standin.ShowsUnlit)
	return y + leading*size
}

// shown draws what a point must show.
func (p *Panel) shown(d *Drawing, point int, x, y, room, size float64) float64 {
	shows := p.Pattern[point]
	if !p.lampAt(point) && shows != standin.ShowsEither {
		word := strings.TrimPrefix(p.Family.Shown(point, shows), "shows ")
		d.box(Box{X: x, Y: y, Width: min(room, wide(word, size)+size), Height: 1.3 * size})
		return d.text(Text{X: x + 0.5*size, Text: word, Size: size, Room: room - 0.5*size}, y) + 0.1*size
	}
	lamp(d, x, y, size, shows)
	return d.text(Text{X: x + 1.4*size, Text: p.Family.Shown(point, shows), Size: size, Room: room - 1.4*size}, y)
}

func (p *Panel) lampAt(point int) bool { return p.Family.PointShows(point) == lamps }

// lamps are what a point that is a lamp may show.
const lamps = string(standin.ShowsLit) + string(standin.ShowsUnlit) + string(standin.ShowsFlashing)

// mostWords is how many boxes with a word each stand below each other; a point that
// shows more has a box to write in.
const mostWords = 4

// toTick draws the boxes for what a point may show.
func (p *Panel) toTick(d *Drawing, point int, x, y, room, size float64) float64 {
	may := p.Family.PointShows(point)
	if p.lampAt(point) {
		step := room / 3
		for i := range len(may) {
			at := x + step*float64(i)
			box(d, at, y, size)
			lamp(d, at+1.0*size, y, 0.75*size, may[i])
		}
		return y + leading*size
	}
	if len(may) > mostWords {
		d.box(Box{X: x, Y: y, Width: min(room, 3*size), Height: 1.5 * size})
		return y + 1.6*size
	}
	for i := range len(may) {
		box(d, x, y, size)
		y = d.text(Text{X: x + 1.2*size, Text: strings.TrimPrefix(p.Family.Shown(point, may[i]), "shows "), Size: size, Room: room - 1.2*size}, y)
	}
	return y
}

func box(d *Drawing, x, y, size float64) {
	d.box(Box{X: x, Y: y + 0.2*size, Width: 0.85 * size, Height: 0.85 * size})
}

// lamp draws a lamp: filled it is lit, empty unlit, half filled it flashes; a stroke
// stands for either.
func lamp(d *Drawing, x, y, size float64, shows byte) {
	y += 0.15 * size
	if shows == standin.ShowsEither {
		d.line(Heavy, Point{x + 0.1*size, y + 0.5*size}, Point{x + 0.9*size, y + 0.5*size})
		return
	}
	d.box(Box{X: x, Y: y, Width: size, Height: size, Round: true, Filled: shows == standin.ShowsLit})
	if shows == standin.ShowsFlashing {
		d.shape(halfDisc(x+size/2, y+size/2, size/2)...)
	}
}

// said names the points in the order of reading, with what each must show.
func (p *Panel) said() string {
	var said []string
	for i, name := range p.Family.Readback {
		one := strconv.Itoa(i+1) + " " + name
		if i < len(p.Pattern) {
			one += " " + p.Family.Shown(i, p.Pattern[i])
		}
		said = append(said, one)
	}
	return strings.Join(said, ", ") + "."
}
