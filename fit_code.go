package standin

import "slices"

// checkConfiguration is check 2: a fixed board by its chain, a preset before a
// configuration, else the configuration for the build and the issue. It also
// says what is to be done with the board.
func (e *evaluation) checkConfiguration(t *trial) (Outcome, string) {
	if t.board.Family == "" {
		return e.fixed(t)
	}
	for _, p := range e.dossier.Presets {
		if p.PartNumber == t.board.PartNumber && (p.Build == "" || p.Build == t.build.Label) {
			t.Work = AsPreset
			t.Proof, t.Trust = e.proof(t)
			return Pass, "supplied already set for this model"
		}
	}
	c, outcome := e.configuration(t.board.Family, t.build.Label, t.rev.Issue)
	if c == nil {
		return Fail, e.noConfiguration(t)
	}
	t.Work, t.Code, t.Pattern, t.Source, t.Trust = Configure, c.Code, c.Pattern, c.Source, c.Trust
	t.Procedure = e.procedure(t.board.Family, t.rev)
	if outcome == Unknown {
		return Unknown, "the code is recorded for " + issues(c) + "; the issue of this revision is not recorded" + e.otherCodes(c)
	}
	if !c.IssueFrom.Known && !c.IssueTo.Known {
		return Pass, "a code is recorded for all issues" // as most are: nothing to put together
	}
	return Pass, "a code is recorded for " + issues(c)
}

// proof returns what a board supplied already set must read back: the code and
// pattern recorded for its family, the model, the build and the issue, with how far
// the pattern can be trusted where the dossier has that. It is nil where that is not
// settled.
func (e *evaluation) proof(t *trial) (*Proof, *Trust) {
	c, outcome := e.configuration(t.board.Family, t.build.Label, t.rev.Issue)
	if c == nil || outcome != Pass {
		return nil, nil
	}
	return &Proof{Code: c.Code, Pattern: c.Pattern, Procedure: e.procedure(t.board.Family, t.rev), Source: c.Source}, c.Trust
}

// fixed checks a board with nothing to configure: it passes where it is the factory
// board of the build or supersedes it.
func (e *evaluation) fixed(t *trial) (Outcome, string) {
	distance, serves := e.chains[t.place][t.board.PartNumber]
	switch {
	case serves && distance == 0:
		t.Work = Fixed
		return Pass, "nothing to configure: it is the factory board of this build"
	case serves:
		t.Work = Fixed
		return Pass, "nothing to configure: it supersedes the factory board " + t.build.PartNumber
	case t.build.PartNumber == "":
		return Fail, "a fixed board, and the factory board of this build is not recorded"
	}
	return Fail, "a fixed board that does not supersede the factory board " + t.build.PartNumber
}

// configuration returns the one that holds for a family, a build and an issue: the
// build's own before one for all builds, then a pass before an unknown, then the
// lower issues. It is nil where there is none.
func (e *evaluation) configuration(family, build string, issue Maybe[int]) (best *Configuration, outcome Outcome) {
	for i := range e.dossier.Configurations {
		c := &e.dossier.Configurations[i]
		if c.Family != family || c.Build != "" && c.Build != build {
			continue
		}
		o := c.holds(issue)
		if o != Fail && (best == nil || c.precedes(o, best, outcome)) {
			best, outcome = c, o
		}
	}
	return best, outcome
}

// otherCodes says which other issues have another code in the build of c: those
// that a revision of no recorded issue may be of as well.
func (e *evaluation) otherCodes(c *Configuration) string {
	others := ""
	for i := range e.dossier.Configurations {
		o := &e.dossier.Configurations[i]
		if o.Family == c.Family && o.Build == c.Build && !slices.Equal(o.Code, c.Code) {
			others += "; another code is recorded for " + issues(o)
		}
	}
	if others == "" {
		return ""
	}
	return others + ": find the issue before a code is entered"
}

// holds reports whether the range of issues holds one.
func (c *Configuration) holds(issue Maybe[int]) Outcome {
	from, to := c.IssueFrom, c.IssueTo
	switch {
	case !from.Known && !to.Known:
		return Pass
	case !issue.Known:
		return Unknown
	case from.Known && issue.V < from.V, to.Known && issue.V > to.V:
		return Fail
	}
	return Pass
}

// precedes reports whether c, with outcome o, is taken rather than another.
func (c *Configuration) precedes(o Outcome, other *Configuration, otherOutcome Outcome) bool {
	if (c.Build == "") != (other.Build == "") {
		return c.Build != ""
	}
	if o != otherOutcome {
		return o == Pass
	}
	return c.IssueFrom.Or(0) < other.IssueFrom.Or(0)
}

// noConfiguration says why a board of a family has no code for the build.
func (e *evaluation) noConfiguration(t *trial) string {
	reason := "no code is recorded for family " + t.board.Family + " in this build"
	for i := range e.dossier.Configurations {
		c := &e.dossier.Configurations[i]
		if c.Family == t.board.Family && (c.Build == "" || c.Build == t.build.Label) {
			return "the code of family " + c.Family + " is recorded for " + issues(c) +
				", this revision is issue " + whole(t.rev.Issue.V)
		}
	}
	return reason
}

// procedure returns the name of the procedure to follow: the revision's own, else
// its family's.
func (e *evaluation) procedure(family string, rev *Revision) string {
	if rev.Procedure != "" {
		return rev.Procedure
	}
	if f := e.dossier.Families[family]; f != nil {
		return f.Procedure
	}
	return ""
}

// issues says for which issues a configuration is recorded.
func issues(c *Configuration) string {
	from, to := c.IssueFrom, c.IssueTo
	switch {
	case from.Known && to.Known && from == to:
		return "issue " + whole(from.V)
	case from.Known && to.Known:
		return "issues " + whole(from.V) + " to " + whole(to.V)
	case from.Known:
		return "issues from " + whole(from.V) + " on"
	case to.Known:
		return "issues up to " + whole(to.V)
	}
	return "all issues"
}
