package standin

import (
	"cmp"
	"slices"
	"strings"
)

// questions are those that split the possible builds, best first (rule 6): by
// the number of builds expected to be left, then plug before old_part before
// made. None where one build is possible or the answers do not differ. A choice
// holds together with what is known of the machine: plugs seen are seen still, a
// date is narrowed, and a number read off the old board is not asked for again.
func (b *bench) questions(m Machine, candidates []Candidate) []Question {
	if len(b.builds) < 2 || !answersDiffer(candidates) {
		return nil
	}
	asked := b.plugQuestions(m.Plug)
	if m.OldPart == "" || len(b.d.OldParts) == 0 {
		asked = append(asked, b.oldPartQuestion()...)
	}
	asked = append(asked, b.cutInQuestions(m.Made.Span)...)
	asked = slices.DeleteFunc(asked, func(q weighed) bool { return q.expected >= float64(len(b.builds)) })
	slices.SortStableFunc(asked, func(x, y weighed) int { return cmp.Compare(x.expected, y.expected) })
	questions := make([]Question, len(asked))
	for i, q := range asked {
		questions[i] = q.Question
	}
	return questions
}

// answersDiffer tells whether a board that may do is judged, set or connected
// otherwise in one possible build than in another.
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

// weighed is a question and the number of builds it is expected to leave, all
// possible builds being equally likely.
type weighed struct {
	Question
	expected float64
}

// weigh reckons the builds left: a build that several choices leave answers
// each as often, one that none leaves learns nothing.
func (b *bench) weigh(q Question) weighed {
	sum := 0.0
	for i := range b.builds {
		left, choices := 0, 0
		for _, c := range q.Choices {
			if slices.Contains(c.Builds, b.builds[i].Label) {
				left += len(c.Builds)
				choices++
			}
		}
		if choices == 0 {
			left, choices = len(b.builds), 1
		}
		sum += float64(left) / float64(choices)
	}
	return weighed{q, sum / float64(len(b.builds))}
}

// leaves are the labels of the possible builds for which a thing holds.
func (b *bench) leaves(holds func(*Build) bool) []string {
	var labels []string
	for i := range b.builds {
		if holds(&b.builds[i]) {
			labels = append(labels, b.builds[i].Label)
		}
	}
	return labels
}

// plugQuestions ask for the presence of a connector with so many ways, for each
// number of ways that occurs and has not been seen.
func (b *bench) plugQuestions(seen []int) []weighed {
	var asked []weighed
	for _, ways := range b.waysBeside(seen) {
		lacking := b.leaves(func(l *Build) bool { return l.Layout.mayLack(ways) })
		if len(lacking) == 0 {
			continue
		}
		no := Choice{Text: "no, there is none", Builds: lacking}
		if other, ok := b.instead(lacking, seen); ok {
			no.Answer = plugAnswer(seen, other)
			no.Text = "no, but there is one with " + whole(other) + " ways"
		}
		asked = append(asked, b.weigh(Question{
			Kind: EvidencePlug,
			Text: "Is there a plug with " + whole(ways) + " ways on the harness?",
			Choices: []Choice{
				{Answer: plugAnswer(seen, ways), Text: "yes, one with " + whole(ways) + " ways", Builds: b.withPlug(seen, ways)},
				no,
			},
		}))
	}
	return asked
}

// waysBeside are the numbers of ways recorded in the harnesses that have not
// been seen, most first: the widest plug is the easiest to see.
func (b *bench) waysBeside(seen []int) []int {
	var beside []int
	for i := range b.builds {
		if l := b.builds[i].Layout; l != nil {
			for _, c := range l.Connectors {
				if c.Ways.Known && !slices.Contains(seen, c.Ways.V) {
					beside = append(beside, c.Ways.V)
				}
			}
		}
	}
	slices.SortFunc(beside, func(x, y int) int { return cmp.Compare(y, x) })
	return slices.Compact(beside)
}

// withPlug are the builds that may have one more plug than those seen.
func (b *bench) withPlug(seen []int, ways int) []string {
	all := slices.Concat(seen, []int{ways})
	return b.leaves(func(l *Build) bool { return l.Layout.mayHave(all) })
}

// plugAnswer is the plugs seen and one more, as they are given as evidence.
func plugAnswer(seen []int, ways int) string {
	words := make([]string, 0, len(seen)+1)
	for _, n := range seen {
		words = append(words, whole(n))
	}
	return strings.Join(append(words, whole(ways)), " ")
}

// mayLack tells whether a layout may have no connector of so many ways.
func (l *Layout) mayLack(ways int) bool {
	return l == nil || !slices.ContainsFunc(l.Connectors, func(c Connector) bool { return c.Ways == Known(ways) })
}

// instead is a number of ways that just these builds may have beside what was
// seen, so that it can be given as evidence for them.
func (b *bench) instead(builds []string, seen []int) (int, bool) {
	for _, ways := range b.waysBeside(seen) {
		if slices.Equal(builds, b.withPlug(seen, ways)) {
			return ways, true
		}
	}
	return 0, false
}

// oldPartQuestion asks for the number on the board that came out, among the
// factory boards of the possible builds.
func (b *bench) oldPartQuestion() []weighed {
	q := Question{Kind: EvidenceOldPart, Text: "Which number is on the board that came out?"}
	expected := 0.0
	for i := range b.builds {
		part := b.builds[i].PartNumber
		at := slices.IndexFunc(q.Choices, func(c Choice) bool { return c.Answer == part })
		if part != "" && at < 0 {
			at = len(q.Choices)
			held := b.held(part)
			q.Choices = append(q.Choices, Choice{Answer: part, Text: part,
				Builds: b.leaves(func(l *Build) bool { return mayHaveHeld(l, held) })})
		}
		if part == "" {
			expected += float64(len(b.builds))
		} else {
			expected += float64(len(q.Choices[at].Builds))
		}
	}
	if len(q.Choices) < 2 {
		return nil
	}
	return []weighed{{q, expected / float64(len(b.builds))}}
}

// held is what the number of a factory board leads to as an old part.
func (b *bench) held(part string) []OldPart {
	var held []OldPart
	for i := range b.d.Boards {
		if board := &b.d.Boards[i]; board.PartNumber == part {
			for _, r := range board.Revisions {
				held = append(held, OldPart{part, r.Label, r.Layout})
			}
		}
	}
	if held == nil {
		held = []OldPart{{PartNumber: part}}
	}
	return held
}

// cutInQuestions ask for before or after each cut-in among the possible builds
// that lies within what is known of the date.
func (b *bench) cutInQuestions(made Span) []weighed {
	var cutIns []Date
	for i := range b.builds {
		if from := b.builds[i].Made.From; from.Known {
			cutIns = append(cutIns, from.V)
		}
	}
	slices.Sort(cutIns)
	var asked []weighed
	for _, cutIn := range slices.Compact(cutIns) {
		before, some := made.Cut(Span{To: Known(cutIn - 1)})
		after, others := made.Cut(Span{From: Known(cutIn)})
		if !some || !others {
			continue
		}
		earlier := b.leaves(func(l *Build) bool { return l.turnsUp(before) })
		if len(earlier) == 0 {
			continue
		}
		asked = append(asked, b.weigh(Question{
			Kind: EvidenceMade,
			Text: "Was the machine made before " + cutIn.String() + "?",
			Choices: []Choice{
				{Answer: madeAnswer(before), Text: "before " + cutIn.String(), Builds: earlier},
				{Answer: madeAnswer(after), Text: "on " + cutIn.String() + " or later",
					Builds: b.leaves(func(l *Build) bool { return l.turnsUp(after) })},
			},
		}))
	}
	return asked
}

// madeAnswer is a span as it is given as evidence.
func madeAnswer(s Span) string {
	end := func(d Maybe[Date]) string {
		if !d.Known {
			return openEnd
		}
		return d.V.String()
	}
	return end(s.From) + "/" + end(s.To)
}

// String is the question with its choices, for logs and tests.
func (q Question) String() string {
	words := make([]string, len(q.Choices))
	for i, c := range q.Choices {
		words[i] = c.Text + ": " + strings.Join(c.Builds, " ")
	}
	return q.Text + " (" + strings.Join(words, "; ") + ")"
}
