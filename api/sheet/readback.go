package sheet

import (
	"standin"
	"standin/api/draw"
)

// readback has the boxes for what is read, in the order it is read.
func (s *Sheet) readback(f *flow) {
	if !s.Job.ReadsBack() {
		return
	}
	below := f.beside()
	below.heading("Read back: tick before looking at the pattern")
	s.steps(below, standin.PhaseReadback)
	below.lines("● lit  ○ unlit  ◐ flashing", regular, caption)
	below.panel(draw.Panel{Family: s.Job.Family, Boxes: true})
	f.addTogether(below)
}

// panel draws read-back points as they lie.
func (f *flow) panel(p draw.Panel) {
	f.gap(0.8)
	f.drawing(p.Draw(draw.Room{Width: f.room, Size: caption * point}))
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
	below.add(leading(caption)+1.5, func(y float64) {
		below.dashed(f.x, y+0.5, f.room)
		below.text(f.x, y+1.5, f.say("Fold back here before reading. Expected pattern:"), bold, caption)
	})
	below.panel(draw.Panel{Family: s.Job.Family, Pattern: s.Job.Pattern})
	below.gap(1)
	below.lines(s.trust(), regular, f.points)
	below.tally()
	if last := below.together(); last.height <= bottom-margin {
		f.last = last
		return
	}
	f.blocks = append(f.blocks, below.blocks...) // more points than a page holds
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

// tally are the boxes for how the reading compares, and what to do where it does not.
func (f *flow) tally() {
	f.row([]float64{46, f.room - 46}, cell{ticks: []string{"tallies", "does not tally"}}, cell{text: standin.IfItDoesNotTally, style: bold})
}
