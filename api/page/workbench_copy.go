package page

import (
	"bytes"
	"slices"
	"strings"

	"standin"
	"standin/api/locale"
	"standin/api/page/judge"
)

// copyPolicy lets the pages of a copy judge readings: a compiled program may run.
var copyPolicy = strings.Replace(policy, "script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'", 1)

// ends are what the pages of a copy may have to say once something was entered. They
// are on the page as templates, rendered as the server would; the script takes the one
// that it comes to and puts in what was read or measured.
type ends struct {
	Missing  *readingPage // points are still to be read
	Tallies  []tallyEnd
	Proofs   []*benchPage
	Measured []measuredEnd
}

// tallyEnd is the page of a reading with one tally.
type tallyEnd struct {
	Tally standin.Tally
	Page  *readingPage
}

// measuredEnd is what is said of a measurement.
type measuredEnd struct {
	Is   string // below, within or above
	Page *benchPage
}

// pagesAlong are the pages of a job by their addresses, as text, in the language in
// which it is taken along.
func (p *Pages) pagesAlong(language locale.Language, j *standin.Job, stages []stage, head jobHead) (map[string]string, error) {
	all := map[string]string{}
	add := func(address, view string, page any) error {
		var b bytes.Buffer
		if err := render(&b, view, "layout", page); err != nil {
			return err
		}
		text := string(bytes.Replace(language.Page(b.Bytes()), []byte(betweenLanguages+languagesHere), nil, 1))
		if p.rebase != nil {
			text = p.rebase.Replace(text)
		}
		all[p.config.Base+address] = text
		return nil
	}
	for n := range len(stages) + 1 {
		if n > 0 && stages[n-1].Kind == stageReading {
			page := p.readingPage(j, stages, "")
			page.Job, page.Ends = head, p.readingEnds(j, stages)
			if err := add(page.Forget, "reading", page); err != nil {
				return nil, err
			}
			continue
		}
		page := p.copiedStage(j, stages, n, head)
		address := head.Start
		if n > 0 {
			address = stageAddress(j, stages, n)
		}
		if err := add(address, "bench", page); err != nil {
			return nil, err
		}
	}
	print := p.printPage(j, stages)
	print.Job = head
	return all, add(print.Address, "print", print)
}

// copiedStage is the page of a stage, or of the contents, without anything entered.
func (p *Pages) copiedStage(j *standin.Job, stages []stage, n int, head jobHead) *benchPage {
	page := p.benchPage(j, stages, n)
	page.Job = head
	if n == 0 {
		return page
	}
	page.Stage = &page.all[n-1]
	switch page.Stage.Kind {
	case stageLoad:
		if l := page.Stage.Load; l != nil && l.Low.Known {
			page.Ends.Measured = p.measuredEnds(page)
		}
	case stageHandBack:
		if j.NeedsProof() {
			page.Proof = unproved(j)
			if j.Provable() {
				page.Ends.Proofs = proofEnds(page)
			}
		}
	}
	return page
}

// measuredEnds are a load's page with values on each side of what is expected.
func (p *Pages) measuredEnds(page *benchPage) []measuredEnd {
	var all []measuredEnd
	for _, is := range []string{"below", "within", "above"} {
		one, stage, load := *page, *page.Stage, *page.Stage.Load
		load.compare(map[string]float64{"below": load.Low.V - 1, "within": load.Low.V, "above": load.High.V + 1}[is])
		stage.Load, one.Stage = &load, &stage
		if is != "above" || load.High.Known {
			all = append(all, measuredEnd{is, &one})
		}
	}
	return all
}

// proofEnds are the last page with the setting proved, and not.
func proofEnds(page *benchPage) []*benchPage {
	proved, not := *page, *page
	a, b := *page.Proof, *page.Proof
	a.Proved = true
	proved.Proof, not.Proof = &a, &b
	return []*benchPage{&proved, &not}
}

// readingEnds are the page of a reading in every way that it may end.
func (p *Pages) readingEnds(j *standin.Job, stages []stage) ends {
	nothing := standin.Reading(strings.Repeat(string(standin.NotRead), len(j.Family.Readback)))
	made := ends{Missing: p.readingPage(j, stages, "")}
	made.Missing.missing(judge.Judged{Missing: "…"})
	for _, tally := range []standin.Tally{standin.Tallies, standin.Incomplete, standin.DoesNotTally, standin.ProvesNothing} {
		said := judge.Judged{Tally: tally, Text: "…", Caution: tally.Caution()}
		switch tally {
		case standin.Incomplete:
			said.ToRead, said.Trials, said.Remedy = true, []string{"…"}, "…"
		case standin.DoesNotTally:
			said.Stories = slices.Repeat([]judge.Story{{Rank: 1, Text: "…"}}, storiesFirst+1)
		}
		page := p.readingPage(j, stages, "")
		page.show(j, nothing, said)
		made.Tallies = append(made.Tallies, tallyEnd{tally, page})
	}
	return made
}
