package standin

import (
	"cmp"
	"slices"
	"strings"
)

// Fit answers the main question: for this machine, which boards can stand in,
// how is each configured, and how is that verified? It decides by the dossier
// alone and is the same for one machine or a thousand.
func Fit(d *Dossier, m Machine) Answer {
	m.ModelKey = d.Asked
	a := Answer{Machine: m, Model: d.Model, CatalogueVersion: d.CatalogueVersion, StockVersion: d.StockVersion, Cautions: cautions()}
	if d.Asked != d.Model.ModelKey {
		twinOf := d.Model.ModelKey
		a.TwinOf = &twinOf
	}
	builds := buildsOf(d)
	pieces, notUsed := weigh(d, m, builds)
	a.NotUsed = notUsed
	places := left(len(builds), pieces)
	if len(places) == 0 {
		a.Contradiction = contradiction(len(builds), pieces)
		return a
	}
	for _, i := range places {
		a.Builds = append(a.Builds, builds[i])
	}
	b := newBench(d, a.Builds)
	a.Candidates = b.candidates(m.Location)
	a.Questions = b.questions(m, a.Candidates)
	a.BeforeFitting = b.before()
	a.Families, a.Procedures = b.instructions(a.Candidates)
	return a
}

func newBench(d *Dossier, builds []Build) *bench {
	b := &bench{d: d, builds: builds}
	for i := range d.Boards {
		b.revisions += len(d.Boards[i].Revisions)
	}
	b.seatings = newSeatings(d.Adaptors, b.revisions*len(builds))
	b.supply = supplySaid(d.Model.Volts, " V") + ", " + supplySaid(d.Model.Hertz, " Hz")
	links := newChains(d.Supersessions)
	for i := range builds {
		b.chains = append(b.chains, links.from(builds[i].PartNumber))
		b.loads = append(b.loads, loadsOf(d.Loads, builds[i].Label))
		b.shared = append(b.shared, b.sharing(i))
	}
	return b
}

// sharing is which of the builds up to one has the same loads, and the same needs.
func (b *bench) sharing(place int) sharing {
	needs := b.builds[place].Needs
	return sharing{
		loads: slices.IndexFunc(b.loads, func(l []Load) bool { return slices.Equal(l, b.loads[place]) }),
		needs: slices.IndexFunc(b.builds, func(o Build) bool { return o.Needs.Known == needs.Known && slices.Equal(o.Needs.V, needs.V) }),
	}
}

// candidates are every revision of the boards that rule 2 looks at, judged and
// in order.
func (b *bench) candidates(location string) []Candidate {
	all := make([]Candidate, 0, b.revisions)
	for i := range b.d.Boards {
		board := &b.d.Boards[i]
		distance := b.distance(board.PartNumber)
		if !distance.Known && !b.configured(board.Family) && !b.preset(board.PartNumber) {
			continue
		}
		for r := range board.Revisions {
			all = append(all, b.candidate(board, &board.Revisions[r], distance))
		}
	}
	return bestFirst(all, location)
}

// bestFirst are the candidates in the order of rule 4. They are large, so it is
// their places that are sorted.
func bestFirst(candidates []Candidate, location string) []Candidate {
	places := make([]*Candidate, len(candidates))
	for i := range candidates {
		places[i] = &candidates[i]
	}
	slices.SortFunc(places, func(x, y *Candidate) int { return compareCandidates(x, y, location) })
	ordered := make([]Candidate, len(candidates))
	for i, c := range places {
		ordered[i] = *c
	}
	return ordered
}

// distance is the fewest supersessions walked to a part from the factory part
// of a possible build.
func (b *bench) distance(part string) (least Maybe[int]) {
	for _, reached := range b.chains {
		if n, ok := reached[part]; ok && n <= least.Or(n) {
			least = Known(n)
		}
	}
	return least
}

func (b *bench) configured(family string) bool {
	return family != "" && slices.ContainsFunc(b.d.Configurations, func(c Configuration) bool { return c.Family == family })
}

func (b *bench) preset(part string) bool {
	return slices.ContainsFunc(b.d.Presets, func(p Preset) bool { return p.PartNumber == part })
}

func (b *bench) candidate(board *Board, rev *Revision, distance Maybe[int]) Candidate {
	c := Candidate{
		PartNumber: board.PartNumber, Title: board.Title, Revision: rev.Label, Issue: rev.Issue,
		Distance: distance, Stock: b.stock(board.PartNumber, rev.Label),
		Builds: b.judge(board, rev),
	}
	c.Verdict = overall(c.Builds)
	return c
}

// stock is what counts for a revision: its own, and that of the part whose
// revision is not known.
func (b *bench) stock(part, revision string) []StockLine {
	var lines []StockLine
	for _, s := range b.d.Stock {
		if s.PartNumber == part && (s.Revision == "" || s.Revision == revision) {
			lines = append(lines, StockLine{s.Location, s.Condition, s.Free, s.Revision != ""})
		}
	}
	return lines
}

// overall is one verdict over the possible builds (rule 4).
func overall(builds []BuildAnswer) Verdict {
	misfits, unknowns, alike := 0, 0, true
	for i := range builds {
		switch builds[i].Verdict {
		case No:
			misfits++
		case Check:
			unknowns++
		}
		alike = alike && sameSetting(&builds[0], &builds[i])
	}
	switch {
	case misfits == len(builds):
		return No
	case misfits > 0 || !alike:
		return Depends
	case unknowns > 0:
		return Check
	}
	return Fits
}

// sameSetting tells whether a board is set and connected alike in two builds.
func sameSetting(a, b *BuildAnswer) bool {
	return slices.Equal(a.Code, b.Code) && a.Pattern == b.Pattern && slices.Equal(a.Adaptors, b.Adaptors)
}

// compareCandidates is the order of rule 4; the part number and the revision
// make it total.
func compareCandidates(x, y *Candidate, location string) int {
	return cmp.Or(
		cmp.Compare(x.Verdict, y.Verdict),
		cmp.Compare(stockRank(x.Stock, location), stockRank(y.Stock, location)),
		cmp.Compare(mostOf(x.Builds, configures), mostOf(y.Builds, configures)),
		cmp.Compare(mostOf(x.Builds, adaptorCount), mostOf(y.Builds, adaptorCount)),
		compareDistance(x.Distance, y.Distance),
		-cmp.Compare(x.Issue.Or(0), y.Issue.Or(0)),
		strings.Compare(x.PartNumber, y.PartNumber),
		strings.Compare(x.Revision, y.Revision),
	)
}

// stockRank is 0 where the location has one free, 1 where any has, else 2.
func stockRank(lines []StockLine, location string) int {
	rank := 2
	for _, l := range lines {
		switch {
		case l.Free <= 0:
		case location != "" && l.Location == location:
			return 0
		default:
			rank = 1
		}
	}
	return rank
}

func configures(b *BuildAnswer) int {
	if b.Work == Configure {
		return 1
	}
	return 0
}

func adaptorCount(b *BuildAnswer) int { return len(b.Adaptors) }

func mostOf(builds []BuildAnswer, of func(*BuildAnswer) int) int {
	most := 0
	for i := range builds {
		most = max(most, of(&builds[i]))
	}
	return most
}

// compareDistance puts a part that is there by its family alone last.
func compareDistance(x, y Maybe[int]) int {
	switch {
	case x.Known && y.Known:
		return cmp.Compare(x.V, y.V)
	case x.Known:
		return -1
	case y.Known:
		return 1
	}
	return 0
}

// instructions are the families and procedures that the candidates refer to.
func (b *bench) instructions(candidates []Candidate) (map[string]*Family, map[string]*Procedure) {
	families, procedures := map[string]*Family{}, map[string]*Procedure{}
	for i := range candidates {
		for j := range candidates[i].Builds {
			answer := &candidates[i].Builds[j]
			if f := b.d.Families[answer.Family]; f != nil {
				families[answer.Family] = f
			}
			if p := b.d.Procedures[answer.Procedure]; p != nil {
				procedures[answer.Procedure] = p
			}
		}
	}
	return families, procedures
}
