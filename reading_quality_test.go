package standin

import (
	"cmp"
	"math"
	"slices"
)

// The measures of proof-reading and diagnosis over synthetic families. The
// benchmarks of reading_benchmark_test.go print them over many seeds; the tests
// here fail when they drop.

// proofreading counts what Misprints finds of planted misprints.
type proofreading struct {
	right, wrong, missed int
	corrected            int // of those right, with the true row among the corrections
	hidden               int // of those planted, the row is one of the true map: nothing can find it
}

func (p proofreading) precision() float64 { return float64(p.right) / float64(p.right+p.wrong) }
func (p proofreading) recall() float64    { return float64(p.right) / float64(p.right+p.missed) }

// ceiling is the best recall that can be reached.
func (p proofreading) ceiling() float64 {
	return 1 - float64(p.hidden)/float64(p.right+p.missed)
}

func (p proofreading) corrections() float64 {
	return float64(p.corrected) / float64(p.right)
}

// proofreadMany plants misprints in one family per seed, each with this many rows.
func proofreadMany(seeds []uint64, rows, planted int, find func(*Table) []Misprint) proofreading {
	var count proofreading
	for _, seed := range seeds {
		s := newSynthetic(seed)
		printed := s.record(rows)
		truth := slices.Clone(printed)
		wrong := s.misprint(printed, planted)
		for _, m := range find(NewTable(s.family, printed)) {
			if !wrong[m.Index] {
				count.wrong++
				continue
			}
			count.right++
			if slices.ContainsFunc(m.Corrections, func(c Correction) bool {
				return slices.Equal(c.Code, truth[m.Index].Code) && c.Pattern == truth[m.Index].Pattern
			}) {
				count.corrected++
			}
		}
		for i := range wrong {
			if s.pattern(s.dialled(printed[i].Code)) == printed[i].Pattern {
				count.hidden++
			}
		}
		count.missed += planted
	}
	count.missed -= count.right
	return count
}

// rowByRow is proof-reading as the rules describe it when read plainly: the rows
// that contradict an approximate dependency of the code map.
func rowByRow(t *Table) []Misprint {
	var found []Misprint
	codeMap := t.CodeMap()
	for _, row := range t.rows {
		against := false
		for i := range codeMap.Points {
			p := &codeMap.Points[i]
			c := p.at(row.code)
			against = against || p.LeaveOut > 0 && c != NotRead && row.pattern[i] != ShowsEither && c != row.pattern[i]
		}
		if against {
			found = append(found, Misprint{Index: row.configuration})
		}
	}
	return found
}

// hits is how often the true story is first, or among the first few. One that
// shares its rank counts by its chance of being so if equals were shuffled.
type hits struct{ first, near float64 }

func (h *hits) add(stories []ranked, near int) {
	h.first += share(stories, 1)
	h.near += share(stories, near)
}

// ranked is a story: the less, the likelier.
type ranked struct {
	cost     float64
	truth    bool
	ruledOut bool // by how cases are drawn
}

// share is the chance that the true story is among the first n where equals are
// shuffled.
func share(stories []ranked, n int) float64 {
	at := slices.IndexFunc(stories, func(r ranked) bool { return r.truth })
	if at < 0 {
		return 0
	}
	before, equal := 0, 0
	for _, r := range stories {
		switch order := cmp.Compare(r.cost, stories[at].cost); {
		case math.Abs(r.cost-stories[at].cost) < 1e-12:
			equal++
		case order < 0:
			before++
		}
	}
	return float64(min(max(n-before, 0), equal)) / float64(equal)
}

// diagnoses is how Diagnose does beside exact posteriors under the model by
// which the slips are drawn, with the family's true map. They differ in what is
// known beforehand; Diagnose knows least, for it must allow that the code is
// right. Like is compared with like: keyed with exact, ours with bound.
type diagnoses struct {
	cases int
	ours  hits
	keyed hits // as ours, without the stories that exact rules out: the code is right, or has a symbol that the table never shows
	exact hits // that the code was mis-keyed, to one that the table shows; a point was misread or not, as likely
	given hits // given that the code was mis-keyed, and how many points were misread
	bound hits // as exact, and bound by the rule that a point misread alone is a slip less than with a slip of the code
}

// diagnoseMany plants slips in readings of one family per seed, each with this
// many rows.
func diagnoseMany(seeds []uint64, cases, rows, misread, near int) diagnoses {
	var d diagnoses
	exactly := func(points int) float64 {
		if points == misread {
			return 1
		}
		return 0
	}
	atMostOne := func(points int) float64 { return []float64{1, 1. / synthPoints, 0}[min(points, 2)] }
	for _, seed := range seeds {
		s := newSynthetic(seed)
		table := NewTable(s.family, s.record(rows))
		codeMap := table.CodeMap()
		for range cases {
			c, usable := s.drawCase(table, codeMap, misread)
			if !usable {
				continue
			}
			d.cases++
			stories := s.stories(table, codeMap, c)
			d.ours.add(stories, near)
			d.keyed.add(slices.DeleteFunc(stories, func(r ranked) bool { return r.ruledOut }), near)
			d.given.add(s.posterior(table, codeMap, c, exactly), near)
			exact := s.posterior(table, codeMap, c, atMostOne)
			d.exact.add(exact, near)
			alone := 1.001 * likeliestSlip * atMostOne(len(c.reading.Mismatches(s.pattern(c.meant))))
			d.bound.add(append(exact, ranked{cost: -alone}), near)
		}
	}
	for _, h := range []*hits{&d.ours, &d.keyed, &d.exact, &d.given, &d.bound} {
		h.first /= float64(d.cases)
		h.near /= float64(d.cases)
	}
	return d
}

// stories returns what Diagnose says of a case.
func (s *synthetic) stories(t *Table, m *CodeMap, c slipCase) []ranked {
	stories, err := t.Diagnose(m, s.symbols(c.meant), s.pattern(c.meant), c.reading, 0)
	if err != nil {
		panic(err)
	}
	var all []ranked
	for _, story := range stories {
		all = append(all, ranked{
			cost:     float64(story.Rank),
			truth:    slices.Equal(story.Entered, s.symbols(c.entered)),
			ruledOut: story.Kind == OnlyMisread || story.Kind == MisprintedChart || story.Unproven,
		})
	}
	return all
}

// posterior returns the exact posterior under drawSlip with the true map, among
// the slips that drawCase accepts.
func (s *synthetic) posterior(t *Table, m *CodeMap, c slipCase, misread func(points int) float64) []ranked {
	var all []ranked
	for _, code := range slipCodes(c.meant) {
		shows := s.pattern(code)
		p := slipChance(c.meant, code) * misread(len(c.reading.Mismatches(shows)))
		if p > 0 && shows != s.pattern(c.meant) && s.mapKnows(t, m, code) {
			all = append(all, ranked{cost: -p, truth: slices.Equal(code, c.entered)})
		}
	}
	return all
}

// seedsFrom returns n consecutive seeds.
func seedsFrom(first uint64, n int) []uint64 {
	seeds := make([]uint64, n)
	for i := range seeds {
		seeds[i] = first + uint64(i)
	}
	return seeds
}
