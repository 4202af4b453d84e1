package standin

import (
	"cmp"
	"slices"
)

// AnswerCost is what it costs to have a question of one kind answered.
type AnswerCost struct {
	Seconds float64 // of whoever has to look
	Wrong   float64 // share of answers that are wrong, 0 to 1
}

// Asking is what questions are weighed by: their costs, and what is known of the
// builds and boards beforehand. Nothing of it changes a verdict; it orders questions.
type Asking struct {
	VisitSeconds float64 // that a board that does not do costs: a second visit
	Costs        map[string]AnswerCost
	// Met is how many machines of each build were met, by its label; nil: none.
	// Builds are weighed by one more than that (the rule of succession).
	Met map[string]int
	// Worked is the share of a board's fittings in a build that are expected to
	// work where every check passes; nil: expectedToWork.
	Worked func(partNumber, revision, build string) float64
}

// What is taken where no fittings say better, all of it [P]: a board whose checks
// pass works in nineteen cases of twenty; one with checks open in half of them.
const (
	expectedToWork = 0.95
	openChecks     = 0.5
)

// DefaultAsking is common practice [P]: a second visit costs an hour and a half; a
// plug is counted in 20 s, the number on a board that is out read in 30 s, which
// side of the machine is dead known in 15 s, a date on a plate read or asked for in
// 60 s. Numbers are misread more often than plugs miscounted, and a plate tells when
// the appliance was made, not the board in it.
func DefaultAsking() Asking {
	return Asking{VisitSeconds: 5400, Costs: map[string]AnswerCost{
		EvidencePosition: {15, 0.01},
		EvidencePlug:     {20, 0.01},
		EvidenceOldPart:  {30, 0.02},
		EvidenceMade:     {60, 0.03},
	}}
}

// handed is what is handed over: a board as it is set and connected in one build.
type handed struct{ candidate, build int }

// weighing is what questions are weighed on: for everything that may be handed over,
// the seconds it is expected to cost in each possible build, and how likely each is.
type weighing struct {
	asking *Asking
	likely []float64
	loss   [][]float64 // by what is handed over, by build
	of     []handed
}

// newWeighing works the losses out. Verdicts are read and never made here.
func newWeighing(asking *Asking, names []string, candidates []Candidate) *weighing {
	w := &weighing{asking: asking, likely: make([]float64, len(names))}
	sum := 0.0
	for i, name := range names {
		w.likely[i] = 1 + float64(asking.Met[name])
		sum += w.likely[i]
	}
	for i := range w.likely {
		w.likely[i] /= sum
	}
	for _, i := range byPart(candidates) {
		c := &candidates[i]
		for j := range c.Builds {
			same := func(h handed) bool { return h.candidate == i && sameSetting(&c.Builds[h.build], &c.Builds[j]) }
			if c.Builds[j].Verdict == No || slices.ContainsFunc(w.of, same) {
				continue
			}
			w.of, w.loss = append(w.of, handed{i, j}), append(w.loss, asking.losses(c, j))
		}
	}
	return w
}

// byPart are the places of the candidates in the order of part numbers and revisions:
// what a question is worth does not depend on what is in stock.
func byPart(candidates []Candidate) []int {
	order := make([]int, len(candidates))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(x, y int) int {
		a, b := &candidates[x], &candidates[y]
		return cmp.Or(cmp.Compare(a.PartNumber, b.PartNumber), cmp.Compare(a.Revision, b.Revision))
	})
	return order
}

// losses are the expected seconds lost by build, if the board is handed over as it is
// set and connected in one of them.
func (a *Asking) losses(c *Candidate, as int) []float64 {
	losses := make([]float64, len(c.Builds))
	for i := range c.Builds {
		b, works := &c.Builds[i], 0.0
		if b.Verdict != No && sameSetting(b, &c.Builds[as]) {
			works = expectedToWork
			if a.Worked != nil {
				works = a.Worked(c.PartNumber, c.Revision, b.Build)
			}
			if b.Verdict != Fits {
				works *= openChecks
			}
		}
		losses[i] = a.VisitSeconds * (1 - works)
	}
	return losses
}

// least is what to hand over for the least expected loss by the weights of the
// builds; -1 where nothing is left to hand over. Of equals the first by part number.
func (w *weighing) least(weights []float64) (best int) {
	best, least := -1, 0.0
	for h := range w.of {
		if loss := w.expected(h, weights); best < 0 || loss < least-1e-9 {
			best, least = h, loss
		}
	}
	return best
}

// expected is the loss of handing something over, by the weights of the builds.
func (w *weighing) expected(h int, weights []float64) (sum float64) {
	for i, weight := range weights {
		if h < 0 {
			sum += weight * w.asking.VisitSeconds
		} else {
			sum += weight * w.loss[h][i]
		}
	}
	return sum
}

// worth is the value of the information a question gives, in seconds: the least
// expected loss without it less that with it, what it costs not counted (Raiffa and
// Schlaifer, Applied Statistical Decision Theory, 1961 [M]; one question ahead, as
// Heckerman, Breese and Rommelse do in decision-theoretic troubleshooting, CACM 38(3),
// 1995 [M]). Whoever is told a wrong answer acts on it, so it can be below zero.
func (w *weighing) worth(q *Question, names []string) float64 {
	now := w.least(w.likely)
	after := 0.0
	given := w.answerShares(q, names)
	for c := range q.Choices {
		believed, told := make([]float64, len(names)), make([]float64, len(names))
		for i, name := range names {
			told[i] = w.likely[i] * given[i][c]
			if slices.Contains(q.Choices[c].Builds, name) {
				believed[i] = told[i]
			}
		}
		after += w.expected(w.least(believed), told)
	}
	return w.expected(now, w.answered(given)) - after
}

// answered are the weights of the builds for which the question has an answer.
func (w *weighing) answered(given [][]float64) []float64 {
	weights := make([]float64, len(given))
	for i := range given {
		for _, share := range given[i] {
			weights[i] += w.likely[i] * share
		}
	}
	return weights
}

// answerShares is how often each choice is answered in a machine of each build: those
// that hold equally often, any other by mistake; none where none holds.
func (w *weighing) answerShares(q *Question, names []string) [][]float64 {
	wrong := w.asking.Costs[q.Kind].Wrong
	given := make([][]float64, len(names))
	for i, name := range names {
		given[i] = make([]float64, len(q.Choices))
		hold := 0
		for _, c := range q.Choices {
			if slices.Contains(c.Builds, name) {
				hold++
			}
		}
		for c := range q.Choices {
			switch {
			case hold == 0:
			case hold == len(q.Choices):
				given[i][c] = 1 / float64(hold)
			case slices.Contains(q.Choices[c].Builds, name):
				given[i][c] = (1 - wrong) / float64(hold)
			default:
				given[i][c] = wrong / float64(len(q.Choices)-hold)
			}
		}
	}
	return given
}

// settled reports whether whatever the build turns out to be, the same board is
// handed over, set and connected alike, with verdict fits: nothing more need be
// asked. It goes by verdicts and the order of the answer alone, never by what is
// likely.
func (e *evaluation) settled(candidates []Candidate, location string) bool {
	if len(candidates) == 0 || candidates[0].Verdict != Fits {
		return false
	}
	for i := range e.builds {
		first := e.inBuild(&candidates[0], i, location)
		for c := 1; c < len(candidates); c++ {
			if rival := e.inBuild(&candidates[c], i, location); compareCandidates(&rival, &first, location) < 0 {
				return false
			}
		}
	}
	return true
}

// inBuild is a candidate as it would be answered were only one build possible.
func (e *evaluation) inBuild(c *Candidate, build int, location string) Candidate {
	one := *c
	one.Builds = c.Builds[build : build+1]
	one.Verdict = overall(one.Builds)
	one.AdaptorStock = e.adaptorStock(one.Builds)
	one.Availability = one.availability(location)
	one.Distance = Maybe[int]{}
	if n, ok := e.chains[build][c.PartNumber]; ok {
		one.Distance = Known(n)
	}
	return one
}

// weigh gives each question its worth and its seconds, and orders them by what is
// left of the one after the other. Of equals the order stays.
func (e *evaluation) weigh(asked []rankedQuestion, asking *Asking, candidates []Candidate, needed bool) {
	w := newWeighing(asking, e.names, candidates)
	for i := range asked {
		q := &asked[i].Question
		q.Worth, q.Seconds, q.Needed = w.worth(q, e.names), asking.Costs[q.Kind].Seconds, needed
	}
	slices.SortStableFunc(asked, func(x, y rankedQuestion) int {
		net := func(q *Question) float64 { return q.Worth - q.Seconds }
		if d := net(&y.Question) - net(&x.Question); d > 1e-6 || d < -1e-6 {
			return cmp.Compare(d, 0)
		}
		return 0
	})
}
