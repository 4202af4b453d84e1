package page

import (
	"fmt"
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
)

// stage is one thing to do at a time, large enough to be read at arm's length.
type stage struct {
	Kind     stageKind
	Name     string // in the contents
	About    string
	Warnings []string // before anything is done
	Do       string
	Points   []string // to be done one after the other
	Expect   string
	Keys     []key
	Plugs    []harness
	Load     *load
	Source   string
}

// key is one symbol of the code, and whether it is the turn of it.
type key struct {
	Symbol string
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
	warnDead = "Isolated, and proved dead? Capacitors may hold a charge."
	warnLive = "The machine is live while it is configured: panels closed, hands and tools out."
	warnHold = "Hold the board by its edges, with a wrist strap on."
)

// stagesOf are the stages of a job, in the order of the work. The cautions come
// before all of them.
func stagesOf(j *standin.Job) []stage {
	stages := append([]stage{boardStage(j)}, loadStages(j)...)
	stages = append(stages, plugStage(j))
	stages = append(stages, configureStages(j)...)
	return append(stages, limitStage())
}

// boardStage compares the board in hand with the one that was chosen, and says
// what is not known and must be settled first.
func boardStage(j *standin.Job) stage {
	s := stage{Kind: stageBoard, Name: "The board in hand", About: boardName(j.Board.PartNumber, j.Board.Revision), Warnings: []string{warnHold},
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
			Kind: stageLoad, Name: "Check " + c.Circuit + forBuilds(j, c.Builds), About: expected(c), Warnings: []string{warnDead}, Do: standin.Sentence(c.Text),
			Source: standin.Sentence(c.Source), Load: &load{Circuit: c.Circuit, Expect: expected(c), Low: c.OhmsLow, High: c.OhmsHigh},
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
	l := s.Load
	l.Measured = text
	switch {
	case ohms < l.Low.V:
		l.Said = "Below what is expected. Cold may read a little lower; much lower is a short or the wrong element: find out before the board is fitted."
	case l.High.Known && ohms > l.High.V:
		l.Said = "Above what is expected: the element or its wiring is failing. Find out before the board is fitted."
	default:
		l.Said, l.Within = "Within what is expected.", true
	}
	return nil
}

// configureStages are the steps of the procedure, with the code beside each.
func configureStages(j *standin.Job) []stage {
	one := func(name, do string) []stage { return []stage{{Kind: stageConfigure, Name: name, Do: do}} }
	switch j.Work {
	case standin.Fixed:
		return one("Configure", "Nothing to configure on this board.")
	case standin.AsPreset:
		return one("Configure", "Supplied set for this model; no code to enter.")
	}
	var stages []stage
	if j.Procedure == nil {
		stages = []stage{{Kind: stageConfigure, Name: "Enter the code", Keys: keysOf(j.Code, -1), Warnings: []string{warnLive},
			Do: "No procedure is recorded: follow the maker's data."}}
	} else {
		for _, step := range j.Procedure.Steps {
			stages = append(stages, stepStage(j, step))
		}
	}
	if j.ReadsBack() {
		stages = append(stages, stage{Kind: stageReading, Name: "Note what is read",
			About: count(len(j.Family.Readback), "point", "points")})
	}
	return stages
}

func stepStage(j *standin.Job, step standin.Step) stage {
	s := stage{Kind: stageConfigure, Name: phaseNames[step.Phase] + " " + strconv.Itoa(step.Step), Warnings: []string{warnLive},
		Do: standin.Sentence(step.Do), Expect: standin.Sentence(step.Expect)}
	if hold, ok := step.HoldSeconds.Get(); ok && hold > 0 {
		s.Do += " Hold for " + standin.Figure(hold) + " s."
	}
	now := -1
	if step.Phase == standin.PhaseSymbol {
		now = step.Step - 1
		if now >= 0 && now < len(j.Code) {
			s.Name = fmt.Sprintf("Symbol %d of %d: %s", step.Step, len(j.Code), j.Code[now])
		}
	}
	if step.Phase != standin.PhaseReadback {
		s.Keys = keysOf(j.Code, now)
	}
	return s
}

// phaseNames head the phases of a procedure.
var phaseNames = map[standin.Phase]string{
	standin.PhaseEnter: "Enter", standin.PhaseSymbol: "Symbol", standin.PhaseFinish: "Finish", standin.PhaseReadback: "Read back",
}

func keysOf(code []string, now int) []key {
	keys := make([]key, len(code))
	for i, symbol := range code {
		keys[i] = key{symbol, i == now}
	}
	return keys
}

// limitStage has the limits to be kept before the machine is handed back.
func limitStage() stage {
	s := stage{Kind: stageLimits, Name: "After repair", Do: "Measure before the machine is handed back.", Source: standin.Sentence("limits: " + standin.AfterRepairSource)}
	s.Points = afterRepair()
	return s
}

// afterRepair are the limits after repair, a sentence each.
func afterRepair() []string {
	points := []string{"Protective conductor: " + standin.ConductorRule() + "."}
	for _, limit := range standin.Insulations() {
		points = append(points, "Insulation, "+limit.String()+".")
	}
	return points
}
