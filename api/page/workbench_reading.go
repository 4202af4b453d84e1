package page

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"standin"
	"standin/api/page/judge"
)

// readingPage takes what is read back, and once it is complete says whether it
// tallies. The pattern is not on it before: people shall read, not confirm.
type readingPage struct {
	base
	Job     jobHead
	Fields  []field // of the job, for the form
	Toggles []toggle
	While   []meanwhile // in the order in which it is done
	Live    bool        // it is read under power
	Missing string      // what is still to read; empty: nothing was given, or nothing is missing
	Result  *readingResult
	Back    string
	Next    string // after repair, with what was read
	Forget  string // the reading anew
	Label   string // the shelf label; empty: there is none
	Ends    ends   // in a copy
}

// meanwhile is what is pressed or held while a board is read, and what shows that it
// can be.
type meanwhile struct{ Do, Expect string }

// field is a hidden one of a form.
type field struct{ Name, Value string }

// readingResult is how a reading compares.
type readingResult struct {
	Heading string
	Class   string // of the verdict whose shape and colour it has
	Text    string
	Proved  bool
	Caution string // empty: the code is proved

	Trials    []string // that would tell the codes apart that it cannot exclude
	Remedy    string   // what to do where a point cannot be read
	ToRead    string   // the reading with what is read of it; empty: nothing is left to read
	Points    []comparedPoint
	Stories   []judge.Story // the likeliest
	Further   []judge.Story // as likely as each other, or less
	Trust     string
	Again     string // where the board is set again; empty: it is proved
	AgainWord string
}

// storiesFirst is how many stories are shown before the rest is folded away.
const storiesFirst = 3

// Reading takes what is read back of a job.
func (p *Pages) Reading(w http.ResponseWriter, r *http.Request) {
	query, seen, fault := readPoints(r, append(slices.Clone(jobNames), "judge"))
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	j := p.job(w, r, query)
	if j == nil {
		return
	}
	family, err := j.Prepared(r.Context(), p.config.Catalogue)
	if err == nil && family == nil {
		err = bad("part_number", "board %s has nothing to read back for this machine", j.Board.PartNumber)
	}
	if err != nil {
		p.fault(w, r, err)
		return
	}
	reading, fault := readingOf(seen, j.Family)
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	page := p.readingPage(j, stagesOf(j), reading)
	if err := page.compare(j, family, reading, query.Get("judge") != ""); err != nil {
		p.fault(w, r, err)
		return
	}
	p.show(w, r, http.StatusOK, "reading", page)
}

func (p *Pages) readingPage(j *standin.Job, stages []stage, reading standin.Reading) *readingPage {
	m := &j.Answer.Machine
	own := slices.IndexFunc(stages, func(s stage) bool { return s.Kind == stageReading }) + 1
	page := &readingPage{
		base: p.bare("Reading: "+j.Board.PartNumber+" in "+m.ModelKey.String(), m.Location), Job: p.jobHead(j, stages),
		Fields: fieldsOf(append(machinePairs(m), "part_number", j.Board.PartNumber, "revision", j.Board.Revision)...),
		Back:   stageAddress(j, stages, own-1), Next: stageAddress(j, stages, own+1), Forget: stageAddress(j, stages, own),
	}
	page.Toggles = togglesOf(j.Family, reading)
	_, reads := stepsOf(j)
	for _, step := range reads {
		page.While = append(page.While, meanwhile{instruction(step), standin.Sentence(step.Expect)})
	}
	page.Live = j.Live(standin.PhaseReadback)
	if p.config.Sheet {
		page.Label = jobLink("/v1/labels.pdf", m, j.Board.PartNumber, j.Board.Revision)
	}
	return page
}

// fieldsOf are the fields of pairs of name and value that are not empty.
func fieldsOf(pairs ...string) []field {
	var fields []field
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			fields = append(fields, field{pairs[i], pairs[i+1]})
		}
	}
	return fields
}

// compare says how the reading compares, where it is complete or is to be judged
// as it is.
func (page *readingPage) compare(j *standin.Job, family *standin.PreparedFamily, reading standin.Reading, asItIs bool) error {
	if reading == "" {
		return nil
	}
	said, err := judge.Reading(family, judge.Asked{Code: j.Code, Pattern: j.Pattern, Reading: reading, AsItIs: asItIs})
	if err != nil {
		return err
	}
	if said.Missing != "" {
		page.missing(said)
		return nil
	}
	page.show(j, reading, said)
	return nil
}

// show says how a reading compares.
func (page *readingPage) show(j *standin.Job, reading standin.Reading, said judge.Judged) {
	result := &readingResult{
		Text: said.Text, Proved: said.Tally == standin.Tallies, Caution: said.Caution, Points: comparedPoints(j.Family, reading, j.Pattern),
		Trials: said.Trials, Remedy: said.Remedy,
	}
	result.Heading, result.Class = tallyHeadings[said.Tally].heading, tallyHeadings[said.Tally].class
	if j.Trust != nil {
		result.Trust = j.Trust.Text
	}
	page.Result = result
	if result.Proved {
		page.Next += readPairs(reading)
		return
	}
	result.Again, result.AgainWord = enterAgain(j), againWord(j)
	if said.ToRead {
		result.ToRead = page.Forget + readPairs(reading)
	}
	for i, one := range said.Stories {
		if i < storiesFirst {
			result.Stories = append(result.Stories, one)
		} else {
			result.Further = append(result.Further, one)
		}
	}
}

// readPairs are the points of a reading as an address goes on with them.
func readPairs(reading standin.Reading) string {
	var b strings.Builder
	for i := range len(reading) {
		b.WriteString("&" + pointField(i) + "=" + url.QueryEscape(string(reading[i])))
	}
	return b.String()
}

// tallyHeadings say it at a glance, each with the shape of a verdict.
var tallyHeadings = map[standin.Tally]struct{ heading, class string }{
	standin.Tallies:       {"It tallies", "fits"},
	standin.Incomplete:    {"Not proved yet", "check"},
	standin.DoesNotTally:  {"It does not tally", "no"},
	standin.ProvesNothing: {"It proves nothing", "depends"},
}

// missing has the points not read be seen to be.
func (page *readingPage) missing(said judge.Judged) {
	for _, i := range said.Unread {
		page.Toggles[i].ToRead = true
	}
	page.Missing = said.Missing
}

// enterAgain is where the board is set from the beginning; one that was supplied
// set is not, and another is taken.
func enterAgain(j *standin.Job) string {
	if j.Work == standin.AsPreset {
		return fitsLink(&j.Answer.Machine)
	}
	stages := stagesOf(j)
	at := slices.IndexFunc(stages, func(s stage) bool { return s.Kind == stageConfigure })
	return stageAddress(j, stages, at+1)
}

func againWord(j *standin.Job) string {
	switch {
	case j.Work == standin.AsPreset:
		return "Take another board"
	case j.ForGood():
		return "Go through the setting again"
	case j.Method() == standin.MethodSelector:
		return "Enter the code again"
	}
	return "Set it again"
}
