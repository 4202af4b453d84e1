package page

import (
	"net/http"
	"slices"
	"strings"

	"standin"
)

// printPage is a job on one page to be printed: what the job sheet has.
type printPage struct {
	base
	Job       jobHead
	About     string // title of the board
	TwinOf    string
	Known     []string
	Builds    string
	Origin    string
	Cautions  []string
	Swappable []string
	Before    []stage // what is checked before fitting
	Limits    []string
	Plugs     stage // what is pulled, and what goes where
	Code      []string
	Settings  []string // what goes with setting the board
	Steps     []stage
	Points    []toggle
	After     []stage
	Sources   []string // of the limits after repair
	Expected  []comparedPoint
	Trust     string
	IfNot     string   // what to do where it does not tally
	Hand      []string // to be written by hand
	Sheet     string
	Address   string // of this page
}

// Print is a job on one page, to be printed.
func (p *Pages) Print(w http.ResponseWriter, r *http.Request) {
	query, fault := read(r, jobNames)
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	if j := p.job(w, r, query); j != nil {
		p.show(w, r, http.StatusOK, "print", p.printPage(j, stagesOf(j)))
	}
}

func (p *Pages) printPage(j *standin.Job, stages []stage) *printPage {
	m := &j.Answer.Machine
	page := &printPage{
		base: p.bare("Job: "+j.Board.PartNumber+" in "+m.ModelKey.String(), m.Location), Job: p.jobHead(j, stages), About: j.Board.Title,
		Origin: origin(j), Cautions: j.Answer.Cautions, Before: append([]stage{boardStage(j)}, loadStages(j)...), Limits: limits(j.Answer),
		Plugs: plugsToPrint(j), Code: j.Code, IfNot: standin.IfItDoesNotTally, Hand: []string{"serial number", "date", "name", "signature"}, After: limitStages(j), Trust: trustText(j),
	}
	page.Address = jobLink("/bench/print", m, j.Board.PartNumber, j.Board.Revision)
	if j.Answer.TwinOf != nil {
		page.TwinOf = j.Answer.TwinOf.String()
	}
	for _, g := range givenOf(m) {
		page.Known = append(page.Known, g.Word+": "+g.Value)
	}
	var builds []string
	for _, b := range j.Answer.Builds {
		builds = append(builds, b.Label)
	}
	page.Builds = standin.Sentence(standin.BuildNames(builds))
	for _, pair := range j.Swappable {
		page.Swappable = append(page.Swappable, swapWarning(pair))
	}
	for _, s := range configureStages(j) {
		if s.Kind == stageConfigure {
			page.Steps = append(page.Steps, s)
		}
	}
	_, reading := stepsOf(j)
	for _, step := range reading {
		page.Steps = append(page.Steps, stepStage(j, step))
	}
	for _, s := range page.After {
		if !slices.Contains(page.Sources, s.Source) {
			page.Sources = append(page.Sources, s.Source)
		}
	}
	if j.EverLive() {
		page.Settings = append(page.Settings, warnLive+" The steps are marked live.")
	}
	if j.ForGood() {
		page.Settings = append(page.Settings, warnForGood)
	}
	if j.ReadsBack() {
		page.Points = togglesOf(j.Family, "")
		page.Expected = comparedPoints(j.Family, standin.Reading(strings.Repeat(string(standin.NotRead), len(j.Pattern))), j.Pattern)
	}
	if p.config.Sheet {
		page.Sheet = jobLink("/v1/sheets.pdf", m, j.Board.PartNumber, j.Board.Revision)
	}
	return page
}

// plugsToPrint is all that is done with plugs in one.
func plugsToPrint(j *standin.Job) stage {
	s := plugStages(j)[0]
	for _, h := range j.Harnesses {
		s.Plugs = append(s.Plugs, harnessOf(j, h))
	}
	return s
}

// origin says where the statements of a job come from.
func origin(j *standin.Job) string {
	sources := "not recorded"
	if len(j.Sources) > 0 {
		sources = strings.Join(j.Sources, "; ")
	}
	return "Source: " + sources + ". Catalogue version " + standin.Figure(float64(j.Answer.CatalogueVersion)) + "."
}

// trustText says how far the pattern proves the code.
func trustText(j *standin.Job) string {
	switch {
	case !j.ReadsBack():
		return ""
	case j.Pattern == "":
		return "No pattern is recorded for this code: it cannot be proved by reading it back."
	case j.Trust == nil:
		return "How far the pattern can be trusted is not known."
	}
	return j.Trust.Text
}
