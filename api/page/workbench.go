package page

import (
	"context"
	"maps"
	"net/http"
	"slices"
	"strconv"

	"standin"
)

// jobNames are the parameters of a page about one board in one machine.
var jobNames = append(slices.Clone(machineNames), "part_number", "revision")

// benchPage is a job at the bench: its contents, or one of its stages.
type benchPage struct {
	base
	Job      jobHead
	Stages   []stageLink
	all      []stage
	At       int    // from 1; 0: the contents
	Stage    *stage // nil: the contents
	Back     string
	Next     string
	NextWord string
	NextName string // of the step that comes next; empty: there is none
	Print    string
	Sheet    string // the job sheet; empty: there is none
	Cautions []string
	Fields   []field // of the job and the stage, for the form
	Proof    *proof  // of the setting, at the last stage; nil: another stage, or nothing to prove
	Label    string  // the shelf label; empty: there is none
	Note     *note   // of the fitting, at the last stage; nil: another stage, or nowhere to keep it
	Ends     ends    // in a copy
}

// proof says whether the setting is proved, and leads back where it is not.
type proof struct {
	Proved    bool
	Text      string
	Read      string // where it is read; empty: there is nothing to read
	Again     string // where the board is set again
	AgainWord string
}

// jobHead says which job it is, on every page of it.
type jobHead struct {
	Machine string
	Board   string
	Key     string // the same for every page of the job: what the script remembers it by
	Start   string // links
	Answer  string
	Along   along
}

// stageLink leads to a stage from the contents.
type stageLink struct {
	Name, About, Link string
	Live              bool // a stage under power
}

// Bench serves the work with one board in one machine, one page per stage.
func (p *Pages) Bench(w http.ResponseWriter, r *http.Request) {
	query, seen, fault := readPoints(r, append(slices.Clone(jobNames), "step", "measured"))
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	j := p.job(w, r, query)
	if j == nil {
		return
	}
	stages := stagesOf(j)
	at, fault := readStep(query.Get("step"), len(stages))
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	if at > 0 && stages[at-1].Kind == stageReading { // its work is on a page of its own
		http.Redirect(w, r, stageAddress(j, stages, at), http.StatusSeeOther)
		return
	}
	page := p.benchPage(j, stages, at)
	if err := p.fillStage(r.Context(), page, j, query.Get("measured"), seen); err != nil {
		p.fault(w, r, err)
		return
	}
	p.show(w, r, http.StatusOK, "bench", page)
}

// fillStage adds what was entered for a stage: what was measured at a load, or what was
// read, which proves the setting at the last.
func (p *Pages) fillStage(ctx context.Context, page *benchPage, j *standin.Job, measured string, seen map[int]byte) error {
	if page.At > 0 {
		page.Stage = &page.all[page.At-1]
	}
	after := page.Stage != nil && (page.Stage.Kind == stageLimits || page.Stage.Kind == stageHandBack)
	if len(seen) > 0 && !after {
		return bad(pointField(slices.Min(slices.Collect(maps.Keys(seen)))), "what was read belongs to the steps after it alone; leave it out here")
	}
	if page.Stage == nil {
		return nil
	}
	if fault := page.Stage.measure(measured); fault != nil {
		return fault
	}
	if after {
		return p.prove(ctx, page, j, seen)
	}
	return nil
}

// readStep is the number of a stage, 0 where none is asked for.
func readStep(text string, most int) (int, *standin.Error) {
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > most {
		return 0, bad("step", "step is %q; this job has steps 1 to %d", shortened(text), most)
	}
	return n, nil
}

func (p *Pages) jobHead(j *standin.Job, stages []stage) jobHead {
	m := &j.Answer.Machine
	return jobHead{
		Machine: m.ModelKey.String(), Board: boardName(j.Board.PartNumber, j.Board.Revision),
		Key:    jobLink("", m, j.Board.PartNumber, j.Board.Revision),
		Start:  BenchLink(j),
		Answer: fitsLink(m),
		Along:  alongOf(j, stages),
	}
}

func (p *Pages) benchPage(j *standin.Job, stages []stage, at int) *benchPage {
	m := &j.Answer.Machine
	page := &benchPage{
		base: p.bare("Bench: "+j.Board.PartNumber+" in "+m.ModelKey.String(), m.Location), Job: p.jobHead(j, stages), At: at, all: stages,
		Fields: fieldsOf(append(machinePairs(m), "part_number", j.Board.PartNumber, "revision", j.Board.Revision, "step", strconv.Itoa(at))...),
		Print:  jobLink("/bench/print", m, j.Board.PartNumber, j.Board.Revision), Cautions: j.Answer.Cautions,
	}
	if p.config.Sheet {
		page.Sheet = jobLink("/v1/sheets.pdf", m, j.Board.PartNumber, j.Board.Revision)
		page.Label = jobLink("/v1/labels.pdf", m, j.Board.PartNumber, j.Board.Revision)
	}
	address := func(n int) string {
		switch {
		case n < 1:
			return page.Job.Start
		case n > len(stages):
			return page.Job.Answer
		}
		return stageAddress(j, stages, n)
	}
	for i, s := range stages {
		page.Stages = append(page.Stages, stageLink{s.Name, s.About, address(i + 1), s.Live})
	}
	page.Back, page.Next = address(at-1), address(at+1)
	if at > 0 && stages[at-1].Kind == stageHandBack && p.config.Shop != nil {
		page.Note = noteOf(j)
	}
	switch {
	case at == 0:
		page.NextWord = "Begin"
	case at == len(stages):
		page.NextWord = "All done: back to the answer"
	default:
		page.NextWord, page.NextName = "Done", stages[at].Name
		if stages[at-1].Kind == stageBoard && len(j.ToCheck) > 0 {
			page.NextWord = "All checked"
		}
	}
	return page
}

// BenchLink is the address of the bench page of a job, below that of the service.
func BenchLink(j *standin.Job) string {
	return jobLink("/bench", &j.Answer.Machine, j.Board.PartNumber, j.Board.Revision)
}

// stageAddress is that of a stage by its number from 1; the reading has a page
// of its own.
func stageAddress(j *standin.Job, stages []stage, n int) string {
	m := &j.Answer.Machine
	if stages[n-1].Kind == stageReading {
		return jobLink("/bench/reading", m, j.Board.PartNumber, j.Board.Revision)
	}
	return link("/bench", append(machinePairs(m), "part_number", j.Board.PartNumber, "revision", j.Board.Revision, "step", strconv.Itoa(n))...)
}
