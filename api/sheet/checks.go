package sheet

import (
	"slices"
	"strings"

	"standin"
)

// cautions stand in a frame before any work.
func (s *Sheet) cautions(f *flow) {
	const indent, air = 9, 1.5
	said := slices.Clone(s.Job.Answer.Cautions)
	for _, pair := range s.Job.Swappable {
		said = append(said, swapWarning(pair))
	}
	var lines []line
	for _, text := range said {
		for i, part := range f.wrap(standin.Sentence(text), bold, f.points, inside-indent-2*air) {
			mark := ""
			if i == 0 {
				mark = "•"
			}
			lines = append(lines, line{part, mark, f.points})
		}
	}
	f.gap(1.5)
	// A frame that does not fit a page goes on line by line, each with its sides.
	for i, l := range lines {
		first, last := i == 0, i == len(lines)-1
		height := f.lead()
		above := 0.0
		if first {
			above = air
			height += air
		}
		if last {
			height += air
		}
		f.blocks = append(f.blocks, block{height: height, keep: first, draw: func(y float64) {
			f.frame(y, height, first, last)
			if first {
				f.warning(margin+air, y+above)
			}
			f.text(margin+indent-2.2, y+above, l.style, bold, l.points)
			f.text(margin+indent, y+above, l.text, bold, l.points)
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
	f.fill(margin, y, thick, height)
	f.fill(margin+inside-thick, y, thick, height)
	if first {
		f.fill(margin, y, inside, thick)
	}
	if last {
		f.fill(margin, y+height-thick, inside, thick)
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
	f.heading("Check before fitting, with the machine isolated and proved dead")
	tick := []float64{6, inside - 6}
	f.row(tick, cell{tick: true}, cell{text: "The label of the board in hand reads " + s.Job.Board.PartNumber + ", revision " + s.Job.Board.Revision + "."})
	for _, c := range s.Job.ToCheck {
		f.row(tick, cell{tick: true}, cell{style: bold, text: "Not known, check first: " + standin.Sentence(c.Text) + ofBuilds(s.Job.Answer, c.Builds)})
	}
	checks := s.Job.Answer.BeforeFitting
	if len(checks) == 0 {
		f.lines("No loads are recorded for this machine: measure every load for a short before fitting.", regular, f.points)
		return
	}
	widths := []float64{24, inside - 24 - 38 - 24, 38, 24}
	f.heads(widths, "circuit", "what to do", "expected", "measured")
	var sources []string
	for i := range checks {
		c := &checks[i]
		f.row(widths, cell{text: c.Circuit + ofBuilds(s.Job.Answer, c.Builds), style: bold}, cell{text: standin.Sentence(c.Text)},
			cell{text: expected(c), style: bold}, cell{box: true})
		if c.Source != "" && !slices.Contains(sources, c.Source) {
			sources = append(sources, c.Source)
		}
	}
	if len(sources) > 0 {
		f.note("Values: " + strings.Join(sources, "; ") + ".")
	}
}

// afterRepair are the limits to be kept before the machine is handed back.
func (s *Sheet) afterRepair(f *flow) {
	below := f.beside()
	below.heading("After repair" + classSaid(s.Job.Answer.Model.Class))
	checks := s.Job.AfterRepair()
	widths := []float64{6, 40, 48, inside - 6 - 40 - 48 - 26, 26}
	below.heads(widths, "", "check", "limit", "test", "measured")
	var sources []string
	for i := range checks {
		c := &checks[i]
		below.row(widths, cell{tick: true}, cell{text: standin.Sentence(c.Name()), style: bold}, cell{text: c.Limit}, cell{text: c.Test}, cell{box: true})
		if !slices.Contains(sources, c.Origin()) {
			sources = append(sources, c.Origin())
		}
	}
	named := slices.DeleteFunc(slices.Clone(sources), func(source string) bool { // one that another repeats and goes on from
		return slices.ContainsFunc(sources, func(other string) bool { return other != source && strings.HasPrefix(other, source) })
	})
	below.note("Limits: " + strings.Join(named, "; ") + "; guidance: local rules and the maker's data come first.")
	below.signature()
	f.addTogether(below)
}

// signature is what is written by hand when the repair is done.
func (f *flow) signature() {
	f.add(boxHeight+1, func(y float64) {
		f.handFields(margin, inside, y+2, []field{{"Serial number", 0.32}, {"Date", 0.18}, {"Name", 0.24}, {"Signature", 0.26}})
	})
}

// classSaid is the class of protection of the model, or that it is not recorded.
func classSaid(class string) string {
	if class == "" {
		return ": the class of protection is not recorded, take it from the plate"
	}
	return ", class " + class
}
