package sheet

import (
	"fmt"
	"strings"

	"standin"
)

// configure is what is done with the board before it works.
func (s *Sheet) configure(f *flow) {
	switch s.Job.Work {
	case standin.Fixed:
		f.heading("Configure: nothing to configure on this board")
		return
	case standin.AsPreset:
		f.heading("Configure: supplied set for this model, no code to enter")
		return
	case standin.Configure, standin.NoWork:
	}
	f.heading("Configure" + s.selector())
	f.code(s.Job.Code)
	if s.Job.Procedure == nil {
		f.lines("No procedure is recorded: follow the maker's data.", bold, f.points)
		return
	}
	s.steps(f, standin.PhaseEnter, standin.PhaseSymbol, standin.PhaseFinish)
}

// selector names the family and its symbols in dial order.
func (s *Sheet) selector() string {
	if s.Job.Family == nil {
		return ""
	}
	said := ": family " + s.Job.Family.Name
	if len(s.Job.Family.Selector) > 0 && len(s.Job.Code) > 0 {
		said += ", selector " + strings.Join(s.Job.Family.Selector, " ")
	}
	return said
}

// code shows the symbols large, each in a frame with its place.
func (f *flow) code(symbols []string) {
	const height, points, air = 13, 24, 2
	var row []string
	var widths []float64
	used := 0.0
	flush := func() {
		if len(row) == 0 {
			return
		}
		symbols, widths := row, widths
		f.add(height+1.5, func(y float64) {
			x := float64(margin)
			for i, symbol := range symbols {
				f.box(x, y+0.5, widths[i], height, 0.7)
				f.text(x+(widths[i]-f.width(symbol, bold, points))/2, y+2.5, symbol, bold, points)
				x += widths[i] + air
			}
		})
	}
	for _, symbol := range symbols {
		symbol = f.shortened(symbol, bold, points, inside-2*air) // the steps have it whole
		width := max(height, f.width(symbol, bold, points)+2*air)
		if used+width > inside {
			flush()
			row, widths, used = nil, nil, 0
		}
		row, widths, used = append(row, symbol), append(widths, width), used+width+air
	}
	flush()
}

// steps are those of some phases, each with a box to tick and what to expect.
func (s *Sheet) steps(f *flow, phases ...standin.Phase) {
	if s.Job.Procedure == nil {
		return
	}
	widths := []float64{6, 22, inside - 6 - 22 - 66, 66}
	for _, phase := range phases {
		for _, step := range s.Job.Procedure.Steps {
			if step.Phase == phase {
				f.row(widths, cell{tick: true}, cell{text: s.stepName(step), style: bold}, cell{text: doing(step)}, cell{text: expecting(step)})
			}
		}
	}
}

// stepName names a step; that of a symbol has the symbol beside it.
func (s *Sheet) stepName(step standin.Step) string {
	if place := step.Step - 1; step.Phase == standin.PhaseSymbol && place >= 0 && place < len(s.Job.Code) {
		return fmt.Sprintf("symbol %d: %s", step.Step, s.Job.Code[place])
	}
	return fmt.Sprintf("%s %d", step.Phase, step.Step)
}

func doing(step standin.Step) string {
	said := standin.Sentence(step.Do)
	if hold, ok := step.HoldSeconds.Get(); ok && hold > 0 {
		said += " Hold for " + standin.Figure(hold) + " s."
	}
	return said
}

func expecting(step standin.Step) string {
	if step.Expect == "" {
		return ""
	}
	return "Expect: " + step.Expect
}
