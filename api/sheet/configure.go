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
		s.preset(f)
		return
	case standin.Configure, standin.NoWork:
	}
	f.heading("Configure" + s.selector())
	f.code(s.Job)
	if s.Job.ForGood() {
		f.lines("What is set cannot be undone: compare board, model and setting once more before it is done.", bold, f.points)
	}
	if s.Job.Procedure == nil {
		f.lines("No procedure is recorded: follow the maker's data.", bold, f.points)
		return
	}
	if s.Job.EverLive() {
		f.kept(live, bold, f.points)
	}
	s.steps(f, standin.PhaseEnter, standin.PhaseSymbol, standin.PhaseFinish)
}

// live is the caution where the procedure is.
const live = "LIVE: the machine is powered while it is configured and read back. Panels closed, hands and tools out, at the steps marked LIVE."

// preset says what a board that is supplied already set was set to: it is not
// entered, and proved all the same.
func (s *Sheet) preset(f *flow) {
	f.heading("Configure: supplied set for this model, no code to enter")
	if len(s.Job.Code) == 0 && s.Job.Pattern == "" {
		f.lines("What it must read back is not recorded: its setting cannot be proved by reading.", bold, f.points)
		return
	}
	f.lines("Set to the code below, as recorded. A returned board may have been set again: read it back.", bold, f.points)
	f.code(s.Job)
	if s.Job.EverLive() {
		f.lines(live, bold, f.points)
	}
}

// selector names the family and its symbols in dial order.
func (s *Sheet) selector() string {
	if s.Job.Family == nil {
		return ""
	}
	said := ": family " + s.Job.Family.Name
	if len(s.Job.Family.Selector) > 0 && len(s.Job.Code) > 0 {
		said += ", " + symbolsWord[s.Job.Method()] + " " + strings.Join(s.Job.Family.Selector, " ")
	}
	return said
}

// code shows the symbols large, each in a frame, with the place it is set at where
// that is not a selector.
func (f *flow) code(j *standin.Job) {
	const points, air = 24, 2
	height, over := 13.0, 0.0
	if j.Place(0) != "" {
		over = leading(caption)
		height += over
	}
	var row []symbolKey
	used := 0.0
	flush := func() {
		if len(row) == 0 {
			return
		}
		keys := row
		f.keep(height+1.5, func(y float64) {
			x := f.x
			for _, k := range keys {
				f.box(x, y+0.5, k.width, height, 0.7)
				f.text(x+(k.width-f.width(k.place, regular, caption))/2, y+1.3, k.place, regular, caption)
				f.text(x+(k.width-f.width(k.symbol, bold, points))/2, y+2.5+over, k.symbol, bold, points)
				x += k.width + air
			}
		})
	}
	for i, symbol := range j.Code {
		k := symbolKey{symbol: f.shortened(symbol, bold, points, f.room-2*air), place: f.say(j.Place(i))} // the steps have it whole
		k.width = max(13, f.width(k.symbol, bold, points)+2*air, f.width(k.place, regular, caption)+2*air)
		if used+k.width > f.room {
			flush()
			row, used = nil, 0
		}
		row, used = append(row, k), used+k.width+air
	}
	flush()
}

// symbolKey is one symbol of a code in its frame.
type symbolKey struct {
	symbol, place string
	width         float64
}

// steps are those of some phases, each with a box to tick and what to expect.
func (s *Sheet) steps(f *flow, phases ...standin.Phase) {
	if s.Job.Procedure == nil {
		return
	}
	widths := []float64{6, f.room - 6}
	for _, phase := range phases {
		for _, step := range s.Job.Procedure.Steps {
			if step.Phase == phase {
				f.row(widths, cell{tick: true},
					cell{lead: s.stepName(step), text: strings.TrimSpace(doing(step) + " " + standin.Sentence(s.expecting(step)))})
			}
		}
	}
}

// stepName names a step; that of a symbol has the symbol beside it.
func (s *Sheet) stepName(step standin.Step) string {
	live := ""
	if s.Job.Live(step.Phase) {
		live = " LIVE"
	}
	if place := step.Step - 1; step.Phase == standin.PhaseSymbol && place >= 0 && place < len(s.Job.Code) {
		at := s.Job.Place(place)
		if at == "" {
			at = fmt.Sprintf("symbol %d", step.Step)
		}
		return at + ": " + s.Job.Code[place] + live
	}
	return fmt.Sprintf("%s %d", s.phase(step.Phase), step.Step) + live
}

// phase is a phase as steps are named by it: what is set by hand is not entered.
func (s *Sheet) phase(phase standin.Phase) string {
	if phase == standin.PhaseEnter && !s.Job.Live(phase) {
		return "set"
	}
	return string(phase)
}

// symbolsWord is what the symbols of a code are of.
var symbolsWord = map[standin.Method]string{
	standin.MethodSelector: "selector", standin.MethodSwitches: "switch settings", standin.MethodJumpers: "jumper settings",
	standin.MethodResistor: "resistors", standin.MethodChip: "chips", standin.MethodTool: "tool settings", standin.MethodContactless: "settings",
}

func doing(step standin.Step) string {
	said := standin.Sentence(step.Do)
	if hold, ok := step.HoldSeconds.Get(); ok && hold > 0 {
		said += " Hold for " + standin.Figure(hold) + " s."
	}
	return said
}

func (s *Sheet) expecting(step standin.Step) string {
	var all []string
	if step.Phase == standin.PhaseSymbol {
		if value := s.Job.ToMeasure(step.Step - 1); value != "" {
			all = append(all, value)
		}
	}
	if step.Expect != "" {
		all = append(all, step.Expect)
	}
	if len(all) == 0 {
		return ""
	}
	return "Expect: " + strings.Join(all, ". ")
}
