package page

import (
	"errors"
	"net/http"
	"net/url"

	"standin"
)

// noJobPage says why there is no job with a board, and what would settle it.
type noJobPage struct {
	base
	Heading   string
	Message   string
	Questions []question
	Revisions []stageLink // to choose from
	Answer    string      // link to the answer for the machine
}

// job is the one that a query asks for. Where there is none, the page that says
// why is sent, and it is nil: never a job with a board that does not fit, or
// that may not.
func (p *Pages) job(w http.ResponseWriter, r *http.Request, query url.Values) *standin.Job {
	m, fault := readMachine(query)
	if fault == nil && query.Get("part_number") == "" {
		fault = bad("part_number", "part_number is empty; give that of the board")
	}
	if fault != nil {
		p.fault(w, r, fault)
		return nil
	}
	results, err := standin.Ask(r.Context(), p.config.Catalogue, []standin.Machine{m})
	switch {
	case err != nil:
		p.fault(w, r, err)
		return nil
	case results[0].Err != nil:
		p.unknownModel(w, r, m, results[0].Err)
		return nil
	}
	answer := results[0].Answer
	j, err := answer.Job(query.Get("part_number"), query.Get("revision"))
	if err != nil {
		p.noJob(w, r, answer, query, err)
		return nil
	}
	return j
}

// noJobHeadings and the statuses that go with them, for what Answer.Job refuses.
var noJobHeadings = map[standin.Code]struct {
	heading string
	status  int
}{
	standin.CodeDoesNotFit: {"This board does not fit", http.StatusConflict},
	standin.CodeUnsettled:  {"Settle which build it is first", http.StatusConflict},
	standin.CodeNotFound:   {"No such board for this machine", http.StatusNotFound},
	standin.CodeBadRequest: {"Which revision is it?", http.StatusBadRequest},
}

func (p *Pages) noJob(w http.ResponseWriter, r *http.Request, a *standin.Answer, query url.Values, err error) {
	var known *standin.Error
	if !errors.As(err, &known) || noJobHeadings[known.Code].status == 0 {
		p.fault(w, r, err)
		return
	}
	said := noJobHeadings[known.Code]
	page := &noJobPage{base: p.bare(said.heading, a.Machine.Location), Heading: said.heading, Message: known.Message, Answer: fitsLink(&a.Machine)}
	if known.Code == standin.CodeUnsettled {
		page.Questions = questionsOf(a, func(m *standin.Machine) string {
			return jobLink("/bench", m, query.Get("part_number"), query.Get("revision"))
		})
	}
	if known.Code == standin.CodeBadRequest {
		page.Revisions = revisionsOf(a, query.Get("part_number"))
	}
	p.show(w, r, said.status, "nojob", page)
}

// revisionsOf are those of a board that were looked at, each leading to its job.
func revisionsOf(a *standin.Answer, partNumber string) []stageLink {
	var links []stageLink
	for i := range a.Candidates {
		if c := &a.Candidates[i]; c.PartNumber == partNumber {
			links = append(links, stageLink{Name: "Revision " + c.Revision, About: c.Verdict.Phrase(),
				Link: jobLink("/bench", &a.Machine, partNumber, c.Revision)})
		}
	}
	return links
}
