package sheet

import (
	"fmt"
	"strings"

	"standin"
)

// perRow is how many read-back points stand beside each other.
const perRow = 5

// readback has the boxes for what is read, in the order it is read.
func (s *Sheet) readback(f *flow) {
	if !s.Job.ReadsBack() {
		return
	}
	below := f.beside()
	below.heading("Read back: tick what is seen, before looking at the expected pattern")
	s.steps(below, standin.PhaseReadback)
	below.readPoints(s.Job.Family.Readback, func(point int) cell { return s.toTick(point) })
	f.addTogether(below)
}

// mostTicks is how many boxes to tick a point has room for.
const mostTicks = 4

// toTick is what a point may show, a box each.
func (s *Sheet) toTick(point int) cell {
	var words []string
	for _, shows := range []byte(s.Job.Family.PointShows(point)) {
		words = append(words, strings.TrimPrefix(s.Job.Family.Shown(point, shows), "shows "))
	}
	if len(words) > mostTicks {
		return cell{box: true} // a letter or a digit is written
	}
	return cell{ticks: words}
}

// addTogether adds the blocks of a flow as one, where a page holds it.
func (f *flow) addTogether(below *flow) {
	if one := below.together(); one.height <= bottom-margin {
		f.blocks = append(f.blocks, one)
		return
	}
	f.blocks = append(f.blocks, below.blocks...)
}

// fold is what is not to be seen before the reading is complete: it is folded
// back. It stands at the end of the last page.
func (s *Sheet) fold(f *flow) {
	if !s.Job.ReadsBack() {
		return
	}
	if s.Job.Pattern == "" {
		f.lines(s.trust(), bold, f.points)
		return
	}
	below := f.beside()
	below.add(f.lead()+1.5, func(y float64) {
		below.dashed(margin, y+0.5, inside)
		below.text(margin, y+1.5, "Fold back here before reading.", regular, f.small())
	})
	below.lines("Expected pattern", bold, f.points+1)
	below.readPoints(s.Job.Family.Readback, s.expectedAt)
	below.gap(1)
	below.lines(s.trust(), regular, f.points)
	below.tally()
	if last := below.together(); last.height <= bottom-margin {
		f.last = last
		return
	}
	f.blocks = append(f.blocks, below.blocks...) // more points than a page holds
}

func (s *Sheet) expectedAt(point int) cell {
	if point >= len(s.Job.Pattern) {
		return cell{}
	}
	c := s.Job.Pattern[point]
	return cell{text: strings.TrimSpace(shapeOf(s.Job.Family, point, c) + " " + s.Job.Family.Shown(point, c)), style: bold}
}

// trust says how far the pattern proves the code.
func (s *Sheet) trust() string {
	switch {
	case s.Job.Pattern == "":
		return "No pattern is recorded for this code: it cannot be proved by reading it back."
	case s.Job.Trust == nil:
		return "How far the pattern can be trusted is not known."
	}
	return s.Job.Trust.Text
}

// readPoints shows the read-back points in rows, each with a cell of its own
// beside or below its name.
func (f *flow) readPoints(names []string, below func(point int) cell) {
	widths := make([]float64, perRow)
	for i := range widths {
		widths[i] = inside / float64(perRow)
	}
	for from := 0; from < len(names); from += perRow {
		var cells []cell
		for i := from; i < min(from+perRow, len(names)); i++ {
			c := below(i)
			c.text = fmt.Sprintf("%d %s ", i+1, names[i]) + c.text
			cells = append(cells, c)
		}
		f.row(widths, cells...)
	}
}

// tally are the boxes for how the reading compares, and what to do where it does not.
func (f *flow) tally() {
	f.row([]float64{38, inside - 38}, cell{ticks: []string{"tallies", "does not tally"}}, cell{text: standin.IfItDoesNotTally, style: bold})
}

// shapeOf is the shape beside the word for what a point shows: the lamps have one
// each, whatever else is shown is its word alone.
func shapeOf(f *standin.Family, point int, shows byte) string {
	if shows == standin.ShowsEither || f.PointShows(point) == "10f" {
		return shapes[shows]
	}
	return ""
}
