package standin

import (
	"cmp"
	"slices"
	"strings"
)

// questions returns those that split the possible builds, best first (rule 6): which
// board is dead, then by what asking is worth less what it costs, then by the number
// of builds expected to remain, then plug before old_part before made. There are none where one build is possible, and only the
// first where the answers do not differ. The answer of a choice replaces the
// evidence given and includes it: plugs seen are repeated, a date is narrowed, and
// a number read off the old board is not asked for again.
func (e *evaluation) questions(m Machine, candidates []Candidate, asking *Asking) []Question {
	first := e.positionQuestion()
	if len(e.builds) < 2 || !answersDiffer(candidates) {
		return first
	}
	asked := e.plugQuestions(m)
	if m.OldPart == "" || len(e.dossier.OldParts) == 0 {
		asked = append(asked, e.oldPartQuestion()...)
	}
	asked = append(asked, e.cutInQuestions(m.Made.Span)...)
	asked = slices.DeleteFunc(asked, func(q rankedQuestion) bool { return q.expected >= float64(len(e.builds)) })
	slices.SortStableFunc(asked, func(x, y rankedQuestion) int { return cmp.Compare(x.expected, y.expected) })
	e.weigh(asked, asking, candidates, !e.settled(candidates, m.Location))
	for _, q := range asked {
		first = append(first, q.Question)
	}
	return first
}

// answersDiffer reports whether a board that is not ruled out has a different
// verdict, setting or connection in one possible build than in another.
func answersDiffer(candidates []Candidate) bool {
	for i := range candidates {
		if candidates[i].Verdict == No {
			continue
		}
		builds := candidates[i].Builds
		for j := range builds {
			if builds[j].Verdict != builds[0].Verdict || !sameSetting(&builds[0], &builds[j]) {
				return true
			}
		}
	}
	return false
}

// rankedQuestion is a question and the number of builds it is expected to leave,
// all possible builds being equally likely.
type rankedQuestion struct {
	Question
	expected float64
}

// rank works out how many builds a question is expected to leave. A machine of a
// build that several choices leave gives each of these answers equally often; of
// a build that none leaves, the answer settles nothing.
func (e *evaluation) rank(q Question) rankedQuestion {
	sum := 0.0
	for i := range e.builds {
		remaining, choices := 0, 0
		for _, c := range q.Choices {
			if slices.Contains(c.Builds, e.names[i]) {
				remaining += len(c.Builds)
				choices++
			}
		}
		if choices == 0 {
			remaining, choices = len(e.builds), 1
		}
		sum += float64(remaining) / float64(choices)
	}
	return rankedQuestion{q, sum / float64(len(e.builds))}
}

// labelsWhere returns the names of the possible builds for which a condition
// holds.
func (e *evaluation) labelsWhere(holds func(*Build) bool) []string {
	var labels []string
	for i := range e.builds {
		if holds(&e.builds[i]) {
			labels = append(labels, e.names[i])
		}
	}
	return labels
}

// plugQuestions ask, for each number of ways that occurs and has been neither
// seen nor missed, whether there is a connector with it.
func (e *evaluation) plugQuestions(m Machine) []rankedQuestion {
	var asked []rankedQuestion
	for _, ways := range e.waysBeside(slices.Concat(m.Plug, m.NoPlug)) {
		lacking := e.labelsWhere(func(b *Build) bool { return b.Layout.mayLack(ways) })
		if len(lacking) == 0 {
			continue
		}
		have, lack := slices.Concat(m.Plug, []int{ways}), slices.Concat(m.NoPlug, []int{ways})
		asked = append(asked, e.rank(Question{
			Kind: EvidencePlug,
			Text: "Is there a plug with " + whole(ways) + " ways on the harness?",
			Choices: []Choice{
				{Answer: PlugText(have, m.NoPlug), Text: "yes, one with " + whole(ways) + " ways",
					Builds: e.labelsWhere(func(b *Build) bool { return b.Layout.mayHave(have) })},
				{Answer: PlugText(m.Plug, lack), Text: "no, there is none", Builds: lacking},
			},
		}))
	}
	return asked
}

// waysBeside returns the numbers of ways recorded in the harnesses besides those
// already known, most first: the widest plug is the easiest to see.
func (e *evaluation) waysBeside(known []int) []int {
	var beside []int
	for i := range e.builds {
		if l := e.builds[i].Layout; l != nil {
			for _, c := range l.Connectors {
				if c.Ways.Known && !slices.Contains(known, c.Ways.V) {
					beside = append(beside, c.Ways.V)
				}
			}
		}
	}
	slices.SortFunc(beside, func(x, y int) int { return cmp.Compare(y, x) })
	return slices.Compact(beside)
}

// oldPartQuestion asks for the number on the board that came out, among the
// factory boards of the possible builds.
func (e *evaluation) oldPartQuestion() []rankedQuestion {
	q := Question{Kind: EvidenceOldPart, Text: "Which number is on the board that came out?"}
	expected := 0.0
	for i := range e.builds {
		part := e.builds[i].PartNumber
		at := slices.IndexFunc(q.Choices, func(c Choice) bool { return c.Answer == part })
		if part != "" && at < 0 {
			at = len(q.Choices)
			held := e.oldPartsOf(part)
			q.Choices = append(q.Choices, Choice{Answer: part, Text: part,
				Builds: e.labelsWhere(func(b *Build) bool { return mayHaveHeld(b, held) })})
		}
		if part == "" {
			expected += float64(len(e.builds))
		} else {
			expected += float64(len(q.Choices[at].Builds))
		}
	}
	if len(q.Choices) < 2 {
		return nil
	}
	return []rankedQuestion{{q, expected / float64(len(e.builds))}}
}

// oldPartsOf returns what the number of a factory board leads to as an old part.
func (e *evaluation) oldPartsOf(part string) []heldPart {
	var parts []OldPart
	for i := range e.dossier.Boards {
		if board := &e.dossier.Boards[i]; board.PartNumber == part {
			for _, r := range board.Revisions {
				parts = append(parts, OldPart{PartNumber: part, Revision: r.Label, Layout: r.Layout, Family: board.Family, Position: board.Position})
			}
		}
	}
	if parts == nil {
		return []heldPart{{OldPart: &OldPart{PartNumber: part}}} // it leads nowhere, so it rules out nothing
	}
	return heldBy(e.dossier, e.links, parts)
}

// cutInQuestions ask for before or after each cut-in among the possible builds
// that lies within what is known of the date.
func (e *evaluation) cutInQuestions(made Span) []rankedQuestion {
	var cutIns []Date
	for i := range e.builds {
		if from := e.builds[i].Made.From; from.Known {
			cutIns = append(cutIns, from.V)
		}
	}
	slices.Sort(cutIns)
	var asked []rankedQuestion
	for _, cutIn := range slices.Compact(cutIns) {
		before, some := made.Cut(Span{To: Known(cutIn - 1)})
		after, others := made.Cut(Span{From: Known(cutIn)})
		if !some || !others {
			continue
		}
		earlier := e.labelsWhere(func(b *Build) bool { return b.turnsUp(before) })
		if len(earlier) == 0 {
			continue
		}
		asked = append(asked, e.rank(Question{
			Kind: EvidenceMade,
			Text: "Was the machine made before " + cutIn.String() + "?",
			Choices: []Choice{
				{Answer: madeAnswer(before), Text: "before " + cutIn.String(), Builds: earlier},
				{Answer: madeAnswer(after), Text: "on " + cutIn.String() + " or later",
					Builds: e.labelsWhere(func(b *Build) bool { return b.turnsUp(after) })},
			},
		}))
	}
	return asked
}

// madeAnswer returns a span in the form in which it is given as evidence.
func madeAnswer(s Span) string {
	end := func(d Maybe[Date]) string {
		if !d.Known {
			return openEnd
		}
		return d.V.String()
	}
	return end(s.From) + "/" + end(s.To)
}

// String returns the question with its choices, for logs and tests.
func (q Question) String() string {
	words := make([]string, len(q.Choices))
	for i, c := range q.Choices {
		words[i] = c.Text + ": " + strings.Join(c.Builds, " ")
	}
	return q.Text + " (" + strings.Join(words, "; ") + ")"
}
