package standin

import (
	"context"
	"fmt"
	"slices"
)

// The codes of errors about a job.
const (
	CodeDoesNotFit Code = "does-not-fit" // the board is ruled out for the machine
	CodeUnsettled  Code = "unsettled"    // it depends on the build, or the evidence contradicts itself
)

// Job is one board to be fitted in one machine: a candidate that no build still
// possible rules out, and that is set and connected alike in all of them.
type Job struct {
	Answer    *Answer
	Board     *Candidate
	Work      Work
	Family    *Family    // nil: the board is of none
	Procedure *Procedure // nil: none recorded, or nothing to enter
	Code      []string
	Pattern   Pattern
	Adaptors  []string
	Swappable [][2]string // headers of the board, over all possible builds
	ToCheck   []Reason    // checks that are unknown: to be settled at the machine before it is fitted
	Proof     *Proof      // of a preset, where it is the same in all builds; else nil
	Trust     *Trust      // how far the pattern can be trusted; nil: there is none, or Fit alone was asked
	Harnesses []Harness
	Sources   []string // of the configuration, then of the builds, each once
}

// Harness is a layout that the machine may have, nil where none is recorded.
type Harness struct {
	Layout *Layout
	Builds []string
}

// AskJob asks for one machine and takes one board of the answer. Its errors are
// those of Ask and of Answer.Job.
func AskJob(ctx context.Context, c Catalogue, m Machine, partNumber, revision string) (*Job, error) {
	results, err := Ask(ctx, c, []Machine{m})
	if err != nil {
		return nil, err
	}
	if results[0].Err != nil {
		return nil, results[0].Err
	}
	return results[0].Answer.Job(partNumber, revision)
}

// Job is the work with one board of the answer. An empty revision is the only
// one looked at. It is refused with CodeUnsettled where the evidence contradicts
// itself or the board depends on the build, with CodeDoesNotFit where the board
// is ruled out, with CodeNotFound where it was not looked at, and with
// CodeBadRequest where several revisions were and none is named.
func (a *Answer) Job(partNumber, revision string) (*Job, error) {
	if a.Contradiction != nil {
		return nil, unsettled("the evidence contradicts itself, so no board can be told: " + a.Contradiction.Reason)
	}
	board, err := a.candidate(partNumber, revision)
	if err != nil {
		return nil, err
	}
	switch {
	case board.Verdict == No:
		return nil, a.doesNotFit(board)
	case board.Verdict == Depends || worksDiffer(board.Builds):
		return nil, a.depends(board)
	}
	return a.job(board), nil
}

func (a *Answer) candidate(partNumber, revision string) (*Candidate, error) {
	var found []*Candidate
	var revisions []string
	for i := range a.Candidates {
		if c := &a.Candidates[i]; c.PartNumber == partNumber {
			revisions = append(revisions, c.Revision)
			if revision == "" || c.Revision == revision {
				found = append(found, c)
			}
		}
	}
	switch {
	case len(revisions) == 0:
		return nil, &Error{Code: CodeNotFound, Field: "part_number",
			Message: fmt.Sprintf("no board %s can be had for %s; give one of those that the answer names", partNumber, a.Machine.ModelKey)}
	case len(found) == 0:
		return nil, &Error{Code: CodeNotFound, Field: "revision",
			Message: fmt.Sprintf("board %s has no revision %s; recorded for it: %s", partNumber, revision, AndList(revisions))}
	case len(found) > 1:
		return nil, &Error{Code: CodeBadRequest, Field: "revision",
			Message: fmt.Sprintf("board %s has the revisions %s; give the one on its label", partNumber, AndList(revisions))}
	}
	return found[0], nil
}

// worksDiffer reports whether different things are to be done with a board in
// different builds, though code and pattern are the same (none, say).
func worksDiffer(builds []BuildAnswer) bool {
	return slices.ContainsFunc(builds, func(b BuildAnswer) bool { return b.Work != builds[0].Work })
}

// named is the board as it is said in messages.
func (c *Candidate) named() string {
	return fmt.Sprintf("board %s revision %s", c.PartNumber, c.Revision)
}

func (a *Answer) doesNotFit(c *Candidate) error {
	return &Error{Code: CodeDoesNotFit, Field: "part_number",
		Message: fmt.Sprintf("%s does not fit %s: %s", c.named(), a.Machine.ModelKey, firstFailure(c.Builds))}
}

// firstFailure is the reason of the first check that fails.
func firstFailure(builds []BuildAnswer) string {
	for i := range builds {
		for _, check := range builds[i].Checks {
			if check.Outcome == Fail {
				return check.Reason
			}
		}
	}
	return "no build takes it"
}

// depends names the question that settles the build.
func (a *Answer) depends(c *Candidate) error {
	message := fmt.Sprintf("%s depends on the build; settle it first: ", c.named())
	if len(a.Questions) > 0 {
		return unsettled(message + a.Questions[0].Text)
	}
	labels := make([]string, len(a.Builds))
	for i, b := range a.Builds {
		labels[i] = b.Label
	}
	return unsettled(message + "which of the builds " + AndList(labels) + " is it?")
}

func unsettled(message string) error { return &Error{Code: CodeUnsettled, Message: message} }

// job gathers what holds for all builds, which were found to agree.
func (a *Answer) job(c *Candidate) *Job {
	first := &c.Builds[0]
	j := &Job{
		Answer: a, Board: c, Work: first.Work, Family: a.Families[first.Family],
		Code: first.Code, Pattern: first.Pattern, Adaptors: first.Adaptors,
		ToCheck: c.Reasons(Unknown), Trust: first.Trust,
	}
	j.Proof = sameProof(c.Builds)
	if j.Work == Configure {
		j.Procedure = a.Procedures[first.Procedure]
	}
	for i := range c.Builds {
		j.gather(&c.Builds[i])
	}
	for i := range a.Builds {
		j.addHarness(&a.Builds[i])
		j.addSource(a.Builds[i].Source)
	}
	return j
}

// sameProof is what the board must read back in every one of the builds; nil where
// that is not recorded of one, or differs.
func sameProof(builds []BuildAnswer) *Proof {
	first := builds[0].Proof
	for i := range builds {
		p := builds[i].Proof
		if p == nil || !slices.Equal(p.Code, first.Code) || p.Pattern != first.Pattern {
			return nil
		}
	}
	return first
}

func (j *Job) gather(b *BuildAnswer) {
	for _, pair := range b.Swappable {
		if !slices.Contains(j.Swappable, pair) {
			j.Swappable = append(j.Swappable, pair)
		}
	}
	j.addSource(b.Source)
}

func (j *Job) addHarness(b *Build) {
	at := slices.IndexFunc(j.Harnesses, func(h Harness) bool { return h.Layout == b.Layout })
	if at < 0 {
		at = len(j.Harnesses)
		j.Harnesses = append(j.Harnesses, Harness{Layout: b.Layout})
	}
	j.Harnesses[at].Builds = append(j.Harnesses[at].Builds, b.Label)
}

func (j *Job) addSource(source string) {
	if source != "" && !slices.Contains(j.Sources, source) {
		j.Sources = append(j.Sources, source)
	}
}

// Prepared is the board's family made ready for the rules of reading, nil where
// there is nothing to read back. Errors are those of PreparedFamily.
func (j *Job) Prepared(ctx context.Context, c Catalogue) (*PreparedFamily, error) {
	if !j.ReadsBack() {
		return nil, nil
	}
	return c.PreparedFamily(ctx, j.Family.Name)
}

// ReadsBack reports whether the configuration of the board can be read back.
func (j *Job) ReadsBack() bool {
	return j.Work == Configure && j.Family != nil && len(j.Family.Readback) > 0
}

// Lookalikes are the other plugs of a layout that have the same ways, pitch and
// key as the one at a place, as far as recorded, but not the same circuits: a
// person may take one for the other.
func (l *Layout) Lookalikes(place int) []string {
	var found []string
	plug := &l.Connectors[place]
	for i := range l.Connectors {
		other := &l.Connectors[i]
		if i != place && mates(plug, other) != Fail && !sameCircuits(plug, other) {
			found = append(found, other.Marking)
		}
	}
	return found
}
