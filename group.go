package standin

import "slices"

// Groups are the builds of the candidate for which the same is to be done with
// the board, together, in the order of their first.
func (c *Candidate) Groups() [][]BuildAnswer {
	var groups [][]BuildAnswer
	for i := range c.Builds {
		b := &c.Builds[i]
		at := slices.IndexFunc(groups, func(g []BuildAnswer) bool { return sameToDo(&g[0], b) })
		if at < 0 {
			at = len(groups)
			groups = append(groups, nil)
		}
		groups[at] = append(groups[at], *b)
	}
	return groups
}

func sameToDo(a, b *BuildAnswer) bool {
	return a.Verdict == b.Verdict && a.Work == b.Work && a.Family == b.Family && a.Procedure == b.Procedure && sameSetting(a, b)
}

// Reason is why a check came out as it did, and for which builds.
type Reason struct {
	Check  string
	Text   string
	Builds []string
}

// Reasons are those of one outcome over the candidate's builds, each once, in
// the order of the checks.
func (c *Candidate) Reasons(outcome Outcome) []Reason {
	var reasons []Reason
	for place := range checkCount {
		for i := range c.Builds {
			b := &c.Builds[i]
			if place >= len(b.Checks) || b.Checks[place].Outcome != outcome {
				continue
			}
			check := &b.Checks[place]
			at := slices.IndexFunc(reasons, func(r Reason) bool { return r.Check == check.Check && r.Text == check.Reason })
			if at < 0 {
				at = len(reasons)
				reasons = append(reasons, Reason{Check: check.Check, Text: check.Reason})
			}
			reasons[at].Builds = append(reasons[at].Builds, b.Build)
		}
	}
	return reasons
}

// Standing is how many candidates are not ruled out; they stand first.
func (a *Answer) Standing() int {
	for i := range a.Candidates {
		if a.Candidates[i].Verdict == No {
			return i
		}
	}
	return len(a.Candidates)
}

// Labels are the labels of the builds.
func Labels(builds []BuildAnswer) []string {
	labels := make([]string, len(builds))
	for i := range builds {
		labels[i] = builds[i].Build
	}
	return labels
}
