package standin_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// eachCase runs a property over generated cases, each made afresh so that it may
// be changed, and stops at the first seed that breaks it. It runs over one in
// share of the cases that are compared with the second reading.
func eachCase(t *testing.T, share int, property func(t *testing.T, r *rand.Rand, seed uint64)) {
	t.Helper()
	t.Parallel()
	for i := range *fitCases / share {
		seed := *fitSeed + uint64(i)
		property(t, rand.New(rand.NewPCG(seed, 1)), seed)
		if t.Failed() {
			t.Fatalf("with -fit.seed %d -fit.cases %d", seed, share)
		}
	}
}

// judgedAs has the build answers of an answer by part, revision and build.
func judgedAs(a standin.Answer) map[[3]string]standin.BuildAnswer {
	all := map[[3]string]standin.BuildAnswer{}
	for _, c := range a.Candidates {
		for _, b := range c.Builds {
			all[[3]string{c.PartNumber, c.Revision, b.Build}] = b
		}
	}
	return all
}

var goodness = map[standin.Outcome]int{standin.Fail: 0, standin.Unknown: 1, standin.Pass: 2}

// noWorse complains of a connectors check or a build's verdict that got worse.
func noWorse(t *testing.T, before, after standin.Answer) {
	t.Helper()
	now := judgedAs(after)
	for key, was := range judgedAs(before) {
		if a, b := outcome(was, standin.CheckConnectors), outcome(now[key], standin.CheckConnectors); goodness[b] < goodness[a] {
			t.Errorf("%v: connectors were %s, are now %s", key, a, b)
		}
		if now[key].Verdict > was.Verdict {
			t.Errorf("%v: was %s, is now %s", key, was.Verdict, now[key].Verdict)
		}
	}
}

// A header more on a board never makes a fit a misfit.
func TestHeaderMoreLosesNoFit(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, r *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		before := standin.Fit(d, m)
		g := &caseGenerator{Rand: r, blank: 0.2, wild: 0.2, pool: []standin.Connector{plug("", 1), plug("", 2)}}
		for _, b := range d.Boards {
			for i, rev := range b.Revisions {
				if rev.Layout == nil {
					continue
				}
				g.pool = append(g.pool, rev.Layout.Connectors...)
				at := r.IntN(len(rev.Layout.Connectors) + 1)
				b.Revisions[i].Layout = layout("board", slices.Insert(slices.Clone(rev.Layout.Connectors), at, g.connector("CN9"))...)
			}
		}
		noWorse(t, before, standin.Fit(d, m))
	})
}

// An adaptor more never loses a fit of a build.
func TestAdaptorMoreLosesNoFit(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, r *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		before := standin.Fit(d, m)
		g := &caseGenerator{Rand: r, blank: 0.1, wild: 0.1, pool: everyConnector(d)}
		if len(g.pool) == 0 {
			return
		}
		d.Adaptors = append(d.Adaptors, standin.Adaptor{PartNumber: pick(g, "A", "L3a", "Z"), Takes: g.layout("takes", 1+r.IntN(2)), Gives: g.layout("gives", 1+r.IntN(2))})
		noWorse(t, before, standin.Fit(d, m))
	})
}

func everyConnector(d *standin.Dossier) (all []standin.Connector) {
	for _, l := range everyLayout(d) {
		all = append(all, (*l).Connectors...)
	}
	return all
}

// Adaptors that cannot be applied are of no consequence, however many there are.
func TestUnusableAdaptorsAreOfNoConsequence(t *testing.T) {
	eachCase(t, 30, func(t *testing.T, _ *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		before := standin.Fit(d, m)
		// No harness has eight plugs, nor can two other adaptors make up as many.
		g := &caseGenerator{Rand: rand.New(rand.NewPCG(seed, 2)), pool: append(everyConnector(d), plug("", 2))}
		for i := range 7 {
			d.Adaptors = append(d.Adaptors, standin.Adaptor{PartNumber: fmt.Sprint("K", i), Takes: g.layout("takes", 8), Gives: g.layout("gives", 1)})
		}
		if diff := cmp.Diff(outcomesOf(before), outcomesOf(standin.Fit(d, m))); diff != "" {
			t.Errorf("without them -, with them +\n%s", diff)
		}
	})
}

// A dossier may hold the usable adaptors alone: Fit answers the same.
func TestUsableAdaptorsAreEnough(t *testing.T) {
	left := 0
	eachCase(t, 10, func(t *testing.T, _ *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		before := standin.Fit(d, m)
		all := len(d.Adaptors)
		d.Adaptors = standin.UsableAdaptors(d.Adaptors, d.Builds)
		left += all - len(d.Adaptors)
		if after := standin.Fit(d, m); !reflect.DeepEqual(before, after) {
			t.Errorf("with all -, with the usable ones +\n%s", cmp.Diff(outcomesOf(before), outcomesOf(after)))
		}
	})
	if left == 0 {
		t.Error("every adaptor was usable: nothing was tried")
	}
}

// everyLayout is where the layouts that are recorded stand.
func everyLayout(d *standin.Dossier) (all []**standin.Layout) {
	add := func(l **standin.Layout) {
		if *l != nil {
			all = append(all, l)
		}
	}
	for i := range d.Builds {
		add(&d.Builds[i].Layout)
	}
	for _, b := range d.Boards {
		for i := range b.Revisions {
			add(&b.Revisions[i].Layout)
		}
	}
	for i := range d.OldParts {
		add(&d.OldParts[i].Layout)
	}
	for i := range d.Adaptors {
		add(&d.Adaptors[i].Takes)
		add(&d.Adaptors[i].Gives)
	}
	return all
}

// An attribute that is no longer recorded only ever leaves more builds, and a
// candidate fits without it only if it fitted every build with it. (It need not
// have had the verdict fits: where the builds took different adaptors and one of
// those can no longer be relied on, they may now all take the same.)
//
// Some emptied cells are no lost knowledge and so not among them: a load's volts,
// amps and element and the positions, for which another record or the usual
// stands where they are empty, and the ends of a configuration's range of issues,
// which are then open.
func TestForgettingNeverMakesAFit(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, r *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		before := standin.Fit(d, m)
		attributes := len(forgettable(d))
		for range 8 {
			d, m := newCase(seed)
			at := r.IntN(attributes)
			forget := forgettable(d)[at]
			forget.do()
			after := standin.Fit(d, m)
			for _, b := range before.Builds {
				if !slices.ContainsFunc(after.Builds, func(a standin.Build) bool { return a.Label == b.Label }) {
					t.Errorf("without %s build %s is no longer possible", forget.what, b.Label)
				}
			}
			stillUnsure(t, forget.what, before, after)
		}
	})
}

func stillUnsure(t *testing.T, what string, before, after standin.Answer) {
	t.Helper()
	for _, c := range after.Candidates {
		i := slices.IndexFunc(before.Candidates, func(b standin.Candidate) bool {
			return b.PartNumber == c.PartNumber && b.Revision == c.Revision
		})
		if c.Verdict != standin.Fits || i < 0 {
			continue
		}
		for _, was := range before.Candidates[i].Builds {
			if was.Verdict != standin.Fits {
				t.Errorf("without %s %s %s fits; before it was %s for build %s", what, c.PartNumber, c.Revision, was.Verdict, was.Build)
			}
		}
	}
}

// forgotten is an attribute and how to make it one that is not recorded.
type forgotten struct {
	what string
	do   func()
}

// forgettable is every attribute of a dossier that bears on a check.
func forgettable(d *standin.Dossier) (all []forgotten) {
	add := func(what string, do func()) { all = append(all, forgotten{what, do}) }
	add("the model's volts", func() { d.Model.Volts = standin.Maybe[[]standin.VoltRange]{} })
	add("the model's class", func() { d.Model.Class = "" })
	add("the model's hertz", func() { d.Model.Hertz = standin.Maybe[[]float64]{} })
	for i := range d.Builds {
		add("a build's needs", func() { d.Builds[i].Needs = standin.Maybe[[]string]{} })
	}
	for i := range d.Loads {
		add("a load's watts", func() { d.Loads[i].Watts = standin.Maybe[float64]{} })
		add("a load's power factor", func() { d.Loads[i].PowerFactor = standin.Maybe[float64]{} })
		add("a load's lower ohms", func() { d.Loads[i].OhmsLow = standin.Maybe[float64]{} })
		add("a load's upper ohms", func() { d.Loads[i].OhmsHigh = standin.Maybe[float64]{} })
		add("a load's temperature", func() { d.Loads[i].AtCelsius = standin.Maybe[float64]{} })
	}
	for _, name := range families[1:] {
		f := d.Families[name]
		add("a family's method", func() { f.Method = "" })
		add("whether a family can be set again", func() { f.Reversible = standin.Maybe[bool]{} })
		add("a family's alphabet", func() { f.Alphabet = nil })
	}
	for _, b := range d.Boards {
		for i := range b.Revisions {
			r := &b.Revisions[i]
			add("an issue", func() { r.Issue = standin.Maybe[int]{} })
			add("options", func() { r.Options = standin.Maybe[[]string]{} })
			add("volts_min", func() { r.VoltsMin = standin.Maybe[float64]{} })
			add("volts_max", func() { r.VoltsMax = standin.Maybe[float64]{} })
			add("hertz", func() { r.Hertz = standin.Maybe[[]float64]{} })
			for _, circuit := range []string{"heater", "motor", "pump"} {
				if _, rated := r.Ratings[circuit]; rated {
					add("the rating of "+circuit, func() { r.Ratings[circuit] = standin.Maybe[float64]{} })
				}
			}
		}
	}
	for _, l := range everyLayout(d) {
		if name := (*l).Name; name != "takes" && name != "gives" {
			add(name+" layout", func() { *l = nil })
		}
		for i := range (*l).Connectors {
			c := &(*l).Connectors[i]
			where := fmt.Sprintf(" of %s of %s", c.Marking, (*l).Name)
			add("ways"+where, func() { c.Ways = standin.Maybe[int]{} })
			add("pitch"+where, func() { c.PitchMM = standin.Maybe[float64]{} })
			add("key"+where, func() { c.Key = standin.Maybe[string]{} })
			add("circuits"+where, func() { c.Circuits = standin.Maybe[[]string]{} })
		}
	}
	return all
}

// The order in which a dossier lists things that have no order is of no
// consequence, and no two candidates stand level.
func TestOrderOfTheDossierIsOfNoConsequence(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, r *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		before := standin.Fit(d, m)
		shuffle(r, d.Boards)
		for _, b := range d.Boards {
			shuffle(r, b.Revisions)
		}
		for _, l := range everyLayout(d) {
			shuffle(r, (*l).Connectors)
		}
		shuffle(r, d.Loads)
		shuffle(r, d.Configurations)
		shuffle(r, d.Presets)
		shuffle(r, d.Supersessions)
		shuffle(r, d.Adaptors)
		shuffle(r, d.Stock)
		shuffle(r, d.OldParts)
		shuffle(r, m.Plug)
		if diff := cmp.Diff(outcomesOf(before), outcomesOf(standin.Fit(d, m))); diff != "" {
			t.Errorf("shuffled -, in order +\n%s", diff)
		}
		candidates := outcomesOf(before).Candidates
		for i := 1; i < len(candidates); i++ {
			if slices.Compare(rank(d, candidates[i-1], m), rank(d, candidates[i], m)) >= 0 {
				t.Errorf("%s %s does not stand before %s %s", candidates[i-1].Part, candidates[i-1].Revision, candidates[i].Part, candidates[i].Revision)
			}
		}
	})
}

func shuffle[T any](r *rand.Rand, list []T) {
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

// Without stock only the order differs, and the stock.
func TestStockBearsOnNothingButOrder(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, _ *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		with := standin.Fit(d, m)
		d.Stock = nil
		without := standin.Fit(d, m)
		for _, a := range []*standin.Answer{&with, &without} {
			for i := range a.Questions {
				a.Questions[i].Needed = false // it goes by the order
			}
			for i := range a.Candidates {
				a.Candidates[i].Stock, a.Candidates[i].AdaptorStock, a.Candidates[i].Availability = nil, nil, 0
			}
			slices.SortFunc(a.Candidates, func(a, b standin.Candidate) int {
				return slices.Compare([]string{a.PartNumber, a.Revision}, []string{b.PartNumber, b.Revision})
			})
		}
		if diff := cmp.Diff(with, without, equalRules); diff != "" {
			t.Errorf("with stock -, without +\n%s", diff)
		}
	})
}

// equalRules compares serial rules by what they are made of.
var equalRules = cmp.Comparer(func(a, b *standin.SerialRule) bool {
	return a == b || a != nil && b != nil && a.Pattern == b.Pattern && a.YearBase == b.YearBase
})

// Fit may be asked by several at once of one dossier, which it leaves as it is.
func TestFitLeavesItsDossierAlone(t *testing.T) {
	eachCase(t, 6, func(t *testing.T, _ *rand.Rand, seed uint64) {
		d, m := newCase(seed)
		untouched, _ := newCase(seed)
		answers := make([]standin.Answer, 4)
		var group sync.WaitGroup
		for i := range answers {
			group.Go(func() { answers[i] = standin.Fit(d, m) })
		}
		group.Wait()
		for _, a := range answers[1:] {
			if !reflect.DeepEqual(a, answers[0]) {
				t.Errorf("two answers of one dossier\n%s", cmp.Diff(answers[0], a, equalRules))
			}
		}
		if diff := cmp.Diff(untouched, d, equalRules); diff != "" {
			t.Errorf("before -, after +\n%s", diff)
		}
	})
}

// What a choice says is what giving its answer as evidence does: it leaves
// exactly the builds that the choice names.
func TestChoicesLeaveTheBuildsTheyName(t *testing.T) {
	tried := map[string]int{}
	eachCase(t, 1, func(t *testing.T, r *rand.Rand, seed uint64) {
		d, all := newCase(seed)
		m := oneKind(r, all)
		a := standin.Fit(d, m)
		for _, q := range a.Questions {
			for _, c := range q.Choices {
				if c.Answer == "" {
					continue
				}
				tried[q.Kind]++
				if q.Kind == standin.EvidencePlug && m.Plug != nil || q.Kind == standin.EvidenceMade && m.Made.Text != "" {
					tried[q.Kind+" beside what was given"]++
				}
				answered, told := *d, m
				give(t, &answered, &told, q.Kind, c.Answer)
				after := standin.Fit(&answered, told)
				if got, want := labels(after.Builds), strings.Join(c.Builds, " "); got != want {
					t.Errorf("%s %q leaves [%s], said [%s]; possible were [%s], given was made %q, serial %q, plug %v, old part %q", q.Kind, c.Answer, got, want, labels(a.Builds),
						m.Made.Text, m.Serial, m.Plug, m.OldPart)
				}
			}
		}
	})
	for _, kind := range []string{"plug", "old_part", "made", "position", "plug beside what was given", "made beside what was given"} {
		if tried[kind] == 0 && *fitCases >= 2000 {
			t.Errorf("no %s question in %d cases", kind, *fitCases)
		}
	}
	t.Log(tried)
}

// oneKind is the machine with one kind of its evidence, so that often several
// builds are left and a question of that kind may be asked once more.
func oneKind(r *rand.Rand, all standin.Machine) standin.Machine {
	m := standin.Machine{ModelKey: all.ModelKey}
	switch r.IntN(4) {
	case 0:
		m.Made = all.Made
	case 1:
		m.Plug, m.NoPlug = all.Plug[:min(1, len(all.Plug))], all.NoPlug
	case 2:
		m.OldPart = all.OldPart
	}
	return m
}

// give adds an answer to the evidence, as a person would who is asked.
func give(t *testing.T, d *standin.Dossier, m *standin.Machine, kind, answer string) {
	t.Helper()
	var err error
	switch kind {
	case "plug":
		m.Plug, m.NoPlug, err = standin.ParsePlug(answer)
	case "made":
		m.Made, err = standin.ParseMade(answer)
	case "position":
		m.Position = answer
	case "old_part":
		m.OldPart, d.OldParts = answer, nil
		for _, b := range d.Boards {
			for _, r := range b.Revisions {
				if b.PartNumber == answer {
					d.OldParts = append(d.OldParts, standin.OldPart{PartNumber: answer, Revision: r.Label, Layout: r.Layout, Family: b.Family, Position: b.Position})
				}
			}
		}
	}
	if err != nil {
		t.Fatal(err)
	}
}
