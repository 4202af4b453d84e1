package page

import (
	"math"
	"strconv"
	"strings"

	"standin"
)

// stageKind is what is done at a stage.
type stageKind string

const (
	stageBoard     stageKind = "board"
	stageLoad      stageKind = "load"
	stagePlugs     stageKind = "plugs"
	stageConfigure stageKind = "configure"
	stageReading   stageKind = "reading"
	stageLimits    stageKind = "limits"
	stageHandBack  stageKind = "hand back"
)

// stage is one thing to do at a time, large enough to be read at arm's length.
type stage struct {
	Kind     stageKind
	Name     string // in the contents
	About    string
	Warnings []string // before anything is done
	Do       string
	Points   []string // to be done one after the other
	Limits   []limit
	Expect   string
	Keys     []symbolKey
	Plugs    []harness
	Load     *load
	Source   string
	Live     bool // done under power
}

// limit is one check after repair: what must hold, and how it is tested.
type limit struct{ What, Must, Test string }

// symbolKey is one symbol of the code, and whether it is the turn of it. Place is what it
// is set at, where that is not a selector.
type symbolKey struct {
	Symbol string
	Place  string
	Now    bool
}

// load is a circuit to measure.
type load struct {
	Circuit   string
	Expect    string
	Low, High standin.Maybe[float64] // ohms
	Measured  string                 // as typed
	Within    bool
	Said      string // how what was measured compares; empty: nothing was, or there is nothing to compare
}

// What goes with the work of a stage.
const (
	warnDead    = "Isolated, and proved dead? Capacitors may hold a charge."
	warnLive    = "The machine is live while it is configured: panels closed, hands and tools out."
	warnForGood = "What is set cannot be undone. Compare board, model and setting once more before it is done."
	warnHold    = "Hold the board by its edges, with a wrist strap on."
)

// stagesOf are the stages of a job, in the order of the work. The cautions come
// before all of them.
func stagesOf(j *standin.Job) []stage {
	stages := append([]stage{boardStage(j)}, loadStages(j)...)
	stages = append(stages, plugStages(j)...)
	stages = append(stages, configureStages(j)...)
	stages = append(stages, limitStages(j)...)
	return append(stages, stage{Kind: stageHandBack, Name: "Hand the machine back"})
}

// boardStage compares the board in hand with the one that was chosen, and says
// what is not known and must be settled first.
func boardStage(j *standin.Job) stage {
	s := stage{Kind: stageBoard, Name: "Compare the label", About: boardName(j.Board.PartNumber, j.Board.Revision), Warnings: []string{warnHold},
		Do: "The label reads " + j.Board.PartNumber + ", revision " + j.Board.Revision + "."}
	for _, doubt := range j.ToCheck {
		s.Points = append(s.Points, "Not known, check first: "+standin.Sentence(doubt.Text)+forBuilds(j, doubt.Builds))
	}
	if len(j.ToCheck) > 0 {
		s.About += ", " + count(len(j.ToCheck), "thing", "things") + " to check first"
	}
	return s
}

// forBuilds says for which builds something holds where it is not for all.
func forBuilds(j *standin.Job, builds []string) string {
	if len(builds) == 0 || len(builds) == len(j.Answer.Builds) {
		return ""
	}
	return " (" + standin.BuildNames(builds) + ")"
}

func loadStages(j *standin.Job) []stage {
	var stages []stage
	for i := range j.Answer.BeforeFitting {
		c := &j.Answer.BeforeFitting[i]
		stages = append(stages, stage{
			Kind: stageLoad, Name: "Check " + c.Circuit + forBuilds(j, c.Builds), About: c.Ohms(), Warnings: []string{warnDead}, Do: standin.Sentence(c.Text),
			Source: standin.Sentence(c.Source), Load: &load{Circuit: c.Circuit, Expect: c.Ohms(), Low: c.OhmsLow, High: c.OhmsHigh},
		})
	}
	if len(stages) == 0 {
		return []stage{{Kind: stageLoad, Name: "Check the loads", Warnings: []string{warnDead},
			Do: "No loads are recorded for this machine: measure every load for a short before the board is fitted."}}
	}
	return stages
}

// measure compares what was measured at a load with what to expect.
func (s *stage) measure(text string) *standin.Error {
	if text == "" {
		return nil
	}
	if s.Load == nil || !s.Load.Low.Known {
		return bad("measured", "there is no resistance to compare at this step; leave measured out")
	}
	ohms, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	if err != nil || ohms < 0 || math.IsInf(ohms, 0) || math.IsNaN(ohms) {
		return bad("measured", "measured is %q; give ohms, as 26.4", shortened(text))
	}
	s.Load.Measured = text
	s.Load.compare(ohms)
	return nil
}

// compare says how what was measured compares with what to expect.
func (l *load) compare(ohms float64) {
	switch {
	case ohms < l.Low.V:
		l.Said = "Below what is expected. Cold may read a little lower; much lower is a short or the wrong element: find out before the board is fitted."
	case l.High.Known && ohms > l.High.V:
		l.Said = "Above what is expected: the element or its wiring is failing. Find out before the board is fitted."
	default:
		l.Said, l.Within = "Within what is expected.", true
	}
}

// configureStages are the steps of the procedure, with the code beside each, and
// the reading that proves it.
func configureStages(j *standin.Job) []stage {
	if j.Work == standin.Fixed {
		return []stage{{Kind: stageConfigure, Name: "Leave it as it is", Do: "Nothing to configure on this board."}}
	}
	var stages []stage
	if j.Work == standin.AsPreset {
		stages = append(stages, presetStage(j))
	}
	own, _ := stepsOf(j)
	for _, step := range own {
		stages = append(stages, stepStage(j, step))
	}
	if j.Procedure == nil && j.Work == standin.Configure {
		stages = append(stages, stage{Kind: stageConfigure, Name: settingHeads[j.Method()], Keys: keysOf(j, -1), Warnings: settingWarnings(j, standin.PhaseEnter),
			Live: j.Live(standin.PhaseEnter), Do: "No procedure is recorded: follow the maker's data."})
	}
	if j.ReadsBack() {
		stages = append(stages, stage{Kind: stageReading, Name: "Read it back", About: count(len(j.Family.Readback), "point", "points")})
	}
	return stages
}

// presetStage says what a board that is supplied already set was set to.
func presetStage(j *standin.Job) stage {
	s := stage{Kind: stageConfigure, Name: "Leave it as supplied", Do: "Supplied set for this model; no code to enter. A returned board may have been set again: read it back."}
	if len(j.Code) > 0 {
		s.About = "to be read back"
		s.Keys = keysOf(j, -1)
		s.Points = []string{"Set to this code, as recorded. It is not entered."}
	} else {
		s.Do = "Supplied set for this model; no code to enter. No code is recorded for it, so a reading cannot prove what it is set to."
	}
	return s
}

// settingHeads say what is done with a board to set it.
var settingHeads = map[standin.Method]string{
	standin.MethodSelector: "Enter the code", standin.MethodSwitches: "Set the switches",
	standin.MethodJumpers: "Set the jumpers", standin.MethodResistor: "Fit the resistor", standin.MethodChip: "Move the memory chip",
	standin.MethodTool: "Write the setting with the service tool", standin.MethodContactless: "Write the setting without contact",
}

// settingWarnings go with a phase of the work: whether the machine is live, and
// whether what is set can be undone.
func settingWarnings(j *standin.Job, phase standin.Phase) []string {
	warnings := []string{warnDead}
	if j.Live(phase) {
		warnings = []string{warnLive}
	}
	if j.ForGood() && phase != standin.PhaseReadback {
		warnings = append(warnings, warnForGood)
	}
	return warnings
}

func keysOf(j *standin.Job, now int) []symbolKey {
	keys := make([]symbolKey, len(j.Code))
	for i, symbol := range j.Code {
		keys[i] = symbolKey{symbol, j.Place(i), i == now}
	}
	return keys
}
