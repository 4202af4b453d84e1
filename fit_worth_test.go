package standin_test

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"standin"
)

// With two builds as likely as each other, a board for each, and an answer that is
// never wrong, perfect information spares half a visit in the cases where the board
// works: 0.5 × 0.95 × 5400 s = 2565 s (the value of perfect information, Raiffa and
// Schlaifer 1961 [M]).
func TestWorthOfAQuestionThatSettlesIt(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Boards = []standin.Board{board("P1", "F"), board("P2", "F")}
	d.Boards[0].Revisions[0].Layout = d.Builds[0].Layout
	d.Boards[1].Revisions[0].Layout = d.Builds[1].Layout
	asking := standin.DefaultAsking()
	asking.Costs[standin.EvidencePlug] = standin.AnswerCost{Seconds: 7}
	open := standin.FitAsking(d, standin.Machine{}, asking)
	works := 0.95
	if open.Candidates[0].Builds[0].Verdict != standin.Fits {
		works *= 0.5
	}
	want := 0.5 * works * asking.VisitSeconds
	q := open.Questions[0]
	if q.Kind != standin.EvidencePlug || q.Seconds != 7 || q.Worth < want-1e-6 || q.Worth > want+1e-6 || !q.Needed {
		t.Errorf("got worth %v for %v s, needed %v; want %v for 7 s", q.Worth, q.Seconds, q.Needed, want)
	}
	asking.Met = map[string]int{"b1": 98}
	if rare := standin.FitAsking(d, standin.Machine{}, asking).Questions[0].Worth; rare >= want/10 {
		t.Errorf("where 99 of 100 are of one build the question is still worth %v", rare)
	}
}

// The costs order questions: a plug that takes long to see is asked for last.
func TestCostsOrderQuestions(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Boards = []standin.Board{board("P1", "F"), board("P2", "F")}
	d.Boards[0].Revisions[0].Layout = d.Builds[0].Layout
	d.Boards[1].Revisions[0].Layout = d.Builds[1].Layout
	asking := standin.DefaultAsking()
	asking.Costs[standin.EvidencePlug] = standin.AnswerCost{Seconds: 900}
	if q := standin.FitAsking(d, standin.Machine{}, asking).Questions[0]; q.Kind != standin.EvidenceOldPart {
		t.Errorf("asked first: %v", q)
	}
}

// What is likely, what works and what asking costs changes no candidate, and a
// question is not needed only where one board fits all builds, alike.
func TestWorthChangesNoVerdict(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, r *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		plain := standin.Fit(d, m)
		asking := standin.DefaultAsking()
		asking.Met = map[string]int{}
		for _, b := range plain.Builds {
			asking.Met[b.Label] = r.IntN(1000)
		}
		asking.Worked = func(string, string, string) float64 { return r.Float64() }
		weighed := standin.FitAsking(d, m, asking)
		for i := range plain.Candidates {
			x, y := &plain.Candidates[i], &weighed.Candidates[i]
			if x.PartNumber != y.PartNumber || x.Revision != y.Revision || x.Verdict != y.Verdict {
				t.Errorf("%s %s %s became %s %s %s", x.PartNumber, x.Revision, x.Verdict, y.PartNumber, y.Revision, y.Verdict)
			}
		}
		for _, q := range weighed.Questions {
			if q.Kind != standin.EvidencePosition && !q.Needed && weighed.Candidates[0].Verdict != standin.Fits {
				t.Errorf("not needed with a board that is %s: %s", weighed.Candidates[0].Verdict, q)
			}
		}
	})
}

// On invented machines whose build is known and met unequally often, the board is
// right as often as by the order by builds left, and the seconds are fewer.
func TestFewerSecondsToTheRightBoard(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 14))
	asking := standin.DefaultAsking()
	asking.Costs = map[string]standin.AnswerCost{}
	for kind, cost := range standin.DefaultAsking().Costs {
		asking.Costs[kind] = standin.AnswerCost{Seconds: cost.Seconds}
	}
	var byLeft, byWorth, rightByLeft, rightByWorth float64
	for range 300 {
		d := inventedCutIns(r)
		asking.Met = map[string]int{}
		for _, b := range d.Builds {
			asking.Met[b.Label] = 1000 >> (2 * r.IntN(len(d.Builds)))
		}
		truth := drawn(r, d.Builds, asking.Met)
		seconds, right := askedUntilSettled(d, truth, asking, false)
		byLeft, rightByLeft = byLeft+seconds, rightByLeft+right
		seconds, right = askedUntilSettled(d, truth, asking, true)
		byWorth, rightByWorth = byWorth+seconds, rightByWorth+right
	}
	t.Logf("300 machines: %.0f s and %.0f right by builds left, %.0f s and %.0f right by worth",
		byLeft, rightByLeft, byWorth, rightByWorth)
	if rightByWorth < rightByLeft || byWorth >= byLeft {
		t.Errorf("by worth %.0f s with %.0f right, by builds left %.0f s with %.0f",
			byWorth, rightByWorth, byLeft, rightByLeft)
	}
}

// inventedCutIns is a model of several builds, each with one of five harnesses and
// with the board that seats on it.
func inventedCutIns(r *rand.Rand) *standin.Dossier {
	d := cutIn()
	first := d.Builds[0]
	d.Builds, d.Boards = nil, nil
	var harnesses []*standin.Layout
	for i, plugs := range [][]standin.Connector{
		{plug("A", 10)}, {plug("A", 6), plug("B", 4)}, {plug("A", 6), plug("B", 2), plug("C", 2)},
		{plug("A", 8)}, {plug("A", 10), plug("B", 3)},
	} {
		part := "P" + string(rune('1'+i))
		harnesses = append(harnesses, layout(part, plugs...))
		d.Boards = append(d.Boards, board(part, "F"))
		d.Boards[i].Revisions[0].Layout = harnesses[i]
	}
	since := standin.Date(10000)
	for i := range 3 + r.IntN(4) {
		b := first
		kind := r.IntN(len(harnesses))
		b.Label, b.PartNumber, b.Layout = string(rune('a'+i)), d.Boards[kind].PartNumber, harnesses[kind]
		b.SerialTo = ""
		b.Made.From = standin.Known(since + standin.Date(400*i))
		b.Made.To = standin.Known(since + standin.Date(400*(i+1)-1))
		d.Builds = append(d.Builds, b)
	}
	return d
}

// drawn is one of the builds, as often as it is met.
func drawn(r *rand.Rand, builds []standin.Build, met map[string]int) *standin.Build {
	sum := 0
	for _, b := range builds {
		sum += 1 + met[b.Label]
	}
	at := r.IntN(sum)
	for i := range builds {
		if at -= 1 + met[builds[i].Label]; at < 0 {
			return &builds[i]
		}
	}
	return nil
}

// askedUntilSettled puts the first question and gives a true answer until none is
// left, and hands the first board over. It returns the seconds with those of a second
// visit where the board is not right, and 1 where it is.
func askedUntilSettled(
	d *standin.Dossier, truth *standin.Build, asking standin.Asking, byWorth bool,
) (seconds, right float64) {
	var m standin.Machine
	for range 20 {
		a := standin.FitAsking(d, m, asking)
		questions := slices.Clone(a.Questions)
		if !byWorth {
			slices.SortStableFunc(questions, func(x, y standin.Question) int {
				return cmp.Compare(expectedLeft(&x, a.Builds), expectedLeft(&y, a.Builds))
			})
		}
		questions = slices.DeleteFunc(questions, func(q standin.Question) bool { return byWorth && !q.Needed })
		if len(questions) == 0 {
			return handedOver(&a, truth, asking, seconds)
		}
		q := questions[0]
		seconds += asking.Costs[q.Kind].Seconds
		at := slices.IndexFunc(q.Choices, func(c standin.Choice) bool { return slices.Contains(c.Builds, truth.Label) })
		if at < 0 {
			panic("no choice is true: " + q.String())
		}
		switch answer := q.Choices[at].Answer; q.Kind {
		case standin.EvidencePlug:
			m.Plug, m.NoPlug, _ = standin.ParsePlug(answer)
		case standin.EvidenceMade:
			m.Made, _ = standin.ParseMade(answer)
		case standin.EvidenceOldPart:
			m.OldPart = answer
			d = withOldPart(d, answer)
		}
	}
	panic("asked twenty questions")
}

// handedOver is the outcome of handing the first board over.
func handedOver(
	a *standin.Answer, truth *standin.Build, asking standin.Asking, seconds float64,
) (took, right float64) {
	best := a.Candidates[0]
	for _, b := range best.Builds {
		if b.Build == truth.Label && b.Verdict != standin.No {
			return seconds, 1
		}
	}
	return seconds + asking.VisitSeconds, 0
}

// expectedLeft is how many builds a question is expected to leave, all being equally
// likely: what questions were ordered by before they were weighed.
func expectedLeft(q *standin.Question, builds []standin.Build) (sum float64) {
	for _, b := range builds {
		left, choices := 0.0, 0.0
		for _, c := range q.Choices {
			if slices.Contains(c.Builds, b.Label) {
				left, choices = left+float64(len(c.Builds)), choices+1
			}
		}
		sum += left / choices
	}
	return sum
}

// withOldPart is the dossier with what the number on the old board leads to.
func withOldPart(d *standin.Dossier, part string) *standin.Dossier {
	with := *d
	for _, b := range d.Boards {
		if b.PartNumber == part {
			with.OldParts = []standin.OldPart{{PartNumber: part, Revision: b.Revisions[0].Label, Layout: b.Revisions[0].Layout}}
		}
	}
	if with.OldParts == nil {
		with.OldParts = []standin.OldPart{{PartNumber: part}}
	}
	return &with
}
