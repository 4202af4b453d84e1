package sheet

import (
	"slices"
	"strings"

	"standin"
)

// The room of a bullet, of the warning sign before all, and that within the frame.
const (
	cautionIndent = 3.4
	cautionAir    = 1.5
	warningRoom   = 7
)

// cautions stand in a frame before any work.
func (s *Sheet) cautions(f *flow) {
	said := slices.Clone(s.Job.Answer.Cautions)
	for _, pair := range s.Job.Swappable {
		said = append(said, swapWarning(pair))
	}
	within := f.beside()
	within.x, within.room = f.x+cautionAir+warningRoom, f.room-2*cautionAir-warningRoom
	f.gap(1.5)
	f.framed(within, within.bullets(said))
}

// bullets are sentences, each with a mark before its first line.
func (f *flow) bullets(said []string) []line {
	var lines []line
	for _, text := range said {
		for i, part := range f.wrap(standin.Sentence(text), bold, f.points, f.room-cautionIndent) {
			mark := ""
			if i == 0 {
				mark = "•"
			}
			lines = append(lines, line{part, mark, f.points})
		}
	}
	return lines
}

func (f *flow) bullet(l line, y float64) {
	f.text(f.x, y, l.style, bold, l.points)
	f.text(f.x+cautionIndent, y, l.text, bold, l.points)
}

// framed adds lines in a frame. One that does not fit a page goes on line by line,
// each with its sides.
func (f *flow) framed(within *flow, lines []line) {
	for i, l := range lines {
		first, last := i == 0, i == len(lines)-1
		height := f.lead()
		above := 0.0
		if first {
			above = cautionAir
			height += cautionAir
		}
		if last {
			height += cautionAir
		}
		f.blocks = append(f.blocks, block{height: height, keep: first, draw: func(y float64) {
			f.frame(y, height, first, last)
			if first {
				f.warning(f.x+cautionAir, y+above)
			}
			within.bullet(l, y+above)
		}})
	}
}

// swapWarning is the caution about two headers, and what a swap does.
func swapWarning(headers [2]string) string {
	return standin.SwappableCaution(headers) + "; one wrong connection can destroy the board"
}

// frame draws a piece of a heavy frame.
func (f *flow) frame(y, height float64, first, last bool) {
	const thick = 0.8
	f.fill(f.x, y, thick, height)
	f.fill(f.x+f.room-thick, y, thick, height)
	if first {
		f.fill(f.x, y, f.room, thick)
	}
	if last {
		f.fill(f.x, y+height-thick, f.room, thick)
	}
}

// warning draws the triangle with the exclamation mark.
func (f *flow) warning(x, y float64) {
	const side = 5
	f.pdf.SetLineWidth(0.6)
	f.pdf.SetLineJoinStyle("round")
	f.pdf.MoveTo(x+side/2.0, y+0.3)
	f.pdf.LineTo(x+side, y+side*0.87)
	f.pdf.LineTo(x, y+side*0.87)
	f.pdf.ClosePath()
	f.pdf.DrawPath("D")
	f.text(x+side/2.0-0.55, y+1.4, "!", bold, 8)
}

// beforeFitting is what must be settled and measured before the board goes in.
func (s *Sheet) beforeFitting(f *flow) {
	f.heading("Check before fitting: isolated, proved dead")
	tick := []float64{6, f.room - 6}
	f.row(tick, cell{tick: true}, cell{text: "The label of the board in hand reads " + s.Job.Board.PartNumber + ", revision " + s.Job.Board.Revision + "."})
	for _, c := range s.Job.ToCheck {
		f.row(tick, cell{tick: true}, cell{style: bold, text: "Not known, check first: " + standin.Sentence(c.Text) + ofBuilds(s.Job.Answer, c.Builds)})
	}
	checks := s.Job.Answer.BeforeFitting
	if len(checks) == 0 {
		f.lines("No loads are recorded for this machine: measure every load for a short before fitting.", regular, f.points)
		return
	}
	f.lines("Measure each at its terminals, leads subtracted:", regular, f.points)
	for i := range checks {
		c := &checks[i]
		f.row([]float64{f.room - measureWidth, measureWidth}, cell{lead: c.Circuit + ofBuilds(s.Job.Answer, c.Builds), text: c.Brief}, cell{box: true})
	}
}

// measureWidth is that of a box for what was measured.
const measureWidth = 24

// afterRepair are the limits to be kept before the machine is handed back.
func (s *Sheet) afterRepair(f *flow) {
	below := f.beside()
	below.heading("After repair" + classSaid(s.Job.Answer.Model.Class))
	checks := s.Job.AfterRepair()
	for i := range checks {
		c := &checks[i]
		below.row([]float64{6, below.room - 6 - measureWidth, measureWidth}, cell{tick: true},
			cell{lead: standin.Sentence(c.Name()), text: standin.Sentence(c.Limit) + " " + standin.Sentence(c.Test)}, cell{box: c.Class != ""})
	}
	below.note(s.origins())
	below.signature()
	f.addTogether(below)
}

// origins say where the values and the limits come from, each source once.
func (s *Sheet) origins() string {
	limits := s.Job.AfterRepair()
	var values, sources []string
	for i := range s.Job.Answer.BeforeFitting {
		if source := s.Job.Answer.BeforeFitting[i].Source; source != "" && !slices.Contains(values, source) {
			values = append(values, source)
		}
	}
	for i := range limits {
		if source := limits[i].Origin(); !slices.Contains(sources, source) {
			sources = append(sources, source)
		}
	}
	named := slices.DeleteFunc(slices.Clone(sources), func(source string) bool { // one that another repeats and goes on from
		return slices.ContainsFunc(sources, func(other string) bool { return other != source && strings.HasPrefix(other, source) })
	})
	said := "Limits: " + strings.Join(named, "; ") + "; guidance: local rules and the maker's data come first."
	if len(values) > 0 {
		said = "Values to expect: " + strings.Join(values, "; ") + ". " + said
	}
	return said
}

// signature is what is written by hand when the repair is done.
func (f *flow) signature() {
	f.add(boxHeight+1, func(y float64) {
		f.handFields(f.x, f.room, y+2, []field{{"Serial number", 0.32}, {"Date", 0.18}, {"Name", 0.24}, {"Signature", 0.26}})
	})
}

// classSaid is the class of protection of the model, or that it is not recorded.
func classSaid(class string) string {
	if class == "" {
		return ": the class of protection is not recorded, take it from the plate"
	}
	return ", class " + class
}
