package standin

import (
	"cmp"
	"slices"
	"strings"
)

// Fit answers the main question: for this machine, which boards can stand in,
// how is each configured, and how is that verified? It decides by the dossier
// alone and is the same for one machine or a thousand.
func Fit(d *Dossier, m Machine) Answer { return FitAsking(d, m, DefaultAsking()) }

// FitAsking is Fit with questions weighed by other costs, or by what fittings say.
// Nothing but the questions depends on them.
func FitAsking(d *Dossier, m Machine, asking Asking) Answer {
	m.ModelKey = d.Asked
	a := Answer{Machine: m, Model: d.Model, CatalogueVersion: d.CatalogueVersion, State: d.State, Cautions: cautions(d.Model.Kind)}
	if d.Asked != d.Model.ModelKey {
		twinOf := d.Model.ModelKey
		a.TwinOf = &twinOf
	}
	builds := buildsOf(d, m)
	if positions := positionsOf(builds); len(positions) > 1 {
		a.Positions = positions
	}
	names := buildNames(builds)
	a.Recorded = labelled(builds, names)
	pieces, notUsed := evidenceOf(d, m, builds)
	a.NotUsed = notUsed
	possible := allowedByAll(len(builds), pieces)
	if len(possible) == 0 {
		a.Contradiction = contradiction(len(builds), pieces)
		a.Contradiction.Hint = hint(d, a.Contradiction, pieces, names)
		return a
	}
	e := newEvaluation(d, builds, names, possible)
	a.Builds = labelled(e.builds, e.names)
	a.Candidates = e.candidates(m.Location)
	a.Questions = e.questions(m, a.Candidates, &asking)
	a.BeforeFitting, a.Heating = e.beforeFitting(), e.heating()
	a.Families, a.Procedures = e.instructions(a.Candidates)
	a.Adaptors = e.adaptorsOf(a.Candidates)
	return a
}

// labelled returns builds under names that are unique among those of the model.
func labelled(builds []Build, names []string) []Build {
	all := slices.Clone(builds)
	for i := range all {
		all[i].Label = names[i]
	}
	return all
}

// evaluation is what is worked out once for a dossier and the builds that the
// evidence leaves. It serves one call of Fit.
type evaluation struct {
	dossier  *Dossier
	builds   []Build  // the possible ones
	names    []string // by build: its label, unique among those of the model
	checks   []check  // in the order of the answer
	supply   string   // of the model, as it is worded in reasons
	links    chains
	chains   []map[string]int // by build: the parts its factory board's chain reaches, with their distance
	loads    [][]Load         // by build
	alike    []firstAlike     // by build
	seatings *seatings

	revisions int // of all boards
}

func newEvaluation(d *Dossier, builds []Build, names []string, possible []int) *evaluation {
	e := &evaluation{dossier: d, checks: checksOfFit[:]}
	for _, i := range possible {
		e.builds, e.names = append(e.builds, builds[i]), append(e.names, names[i])
	}
	for i := range d.Boards {
		e.revisions += len(d.Boards[i].Revisions)
	}
	e.seatings = newSeatings(d.Seatings, d.Adaptors, e.builds, e.revisions)
	e.supply = supplyText(VoltsText(d.Model.Volts), " V") + ", " + supplyText(HertzText(d.Model.Hertz), " Hz")
	e.links = newChains(d.Supersessions)
	for i := range e.builds {
		e.chains = append(e.chains, e.links.from(e.builds[i].PartNumber))
		e.loads = append(e.loads, loadsOf(d.Loads, &e.builds[i]))
		e.alike = append(e.alike, e.firstAlike(i))
	}
	return e
}

// candidates returns every revision of the boards that rule 2 looks at, checked and
// in order.
func (e *evaluation) candidates(location string) []Candidate {
	all := make([]Candidate, 0, e.revisions)
	for i := range e.dossier.Boards {
		board := &e.dossier.Boards[i]
		distance := e.distance(board.PartNumber)
		if !distance.Known && !e.configured(board.Family) && !e.preset(board.PartNumber) {
			continue
		}
		for r := range board.Revisions {
			c := e.candidate(board, &board.Revisions[r], distance)
			c.Availability = c.availability(location)
			all = append(all, c)
		}
	}
	return bestFirst(all, location)
}

// bestFirst returns the candidates in the order of rule 4. They are large, so
// pointers to them are sorted.
func bestFirst(candidates []Candidate, location string) []Candidate {
	pointers := make([]*Candidate, len(candidates))
	for i := range candidates {
		pointers[i] = &candidates[i]
	}
	slices.SortFunc(pointers, func(x, y *Candidate) int { return compareCandidates(x, y, location) })
	ordered := make([]Candidate, len(candidates))
	for i, c := range pointers {
		ordered[i] = *c
	}
	return ordered
}

// distance returns the fewest supersessions walked to a part from the factory part
// of a possible build.
func (e *evaluation) distance(part string) (least Maybe[int]) {
	for _, reached := range e.chains {
		if n, ok := reached[part]; ok && n <= least.Or(n) {
			least = Known(n)
		}
	}
	return least
}

func (e *evaluation) configured(family string) bool {
	return family != "" && slices.ContainsFunc(e.dossier.Configurations, func(c Configuration) bool { return c.Family == family })
}

func (e *evaluation) preset(part string) bool {
	return slices.ContainsFunc(e.dossier.Presets, func(p Preset) bool { return p.PartNumber == part })
}

func (e *evaluation) candidate(board *Board, rev *Revision, distance Maybe[int]) Candidate {
	c := Candidate{
		PartNumber: board.PartNumber, Title: board.Title, Revision: rev.Label, Issue: rev.Issue, Layout: rev.Layout,
		Distance: distance, Stock: e.stock(board.PartNumber, rev.Label),
		Builds: e.answers(board, rev),
	}
	c.Verdict = overall(c.Builds)
	c.AdaptorStock = e.adaptorStock(c.Builds)
	return c
}

// overall returns one verdict over the possible builds (rule 4).
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

// sameSetting reports whether a board is set and connected alike in two builds.
func sameSetting(a, b *BuildAnswer) bool {
	return slices.Equal(a.Code, b.Code) && a.Pattern == b.Pattern && slices.Equal(a.Adaptors, b.Adaptors)
}

// compareCandidates compares by the order of rule 4, which the part number and the
// revision make total.
func compareCandidates(x, y *Candidate, location string) int {
	return cmp.Or(
		cmp.Compare(x.Verdict, y.Verdict),
		compareAvailability(x, y, location),
		cmp.Compare(mostOf(x.Builds, configures), mostOf(y.Builds, configures)),
		cmp.Compare(mostOf(x.Builds, adaptorCount), mostOf(y.Builds, adaptorCount)),
		compareDistance(x.Distance, y.Distance),
		-cmp.Compare(x.Issue.Or(0), y.Issue.Or(0)),
		strings.Compare(x.PartNumber, y.PartNumber),
		strings.Compare(x.Revision, y.Revision),
	)
}

func configures(b *BuildAnswer) int {
	if b.Work == Configure {
		return 1
	}
	return 0
}

func adaptorCount(b *BuildAnswer) int { return len(b.Adaptors) }

// mostOf returns the greatest measure of any build.
func mostOf(builds []BuildAnswer, measure func(*BuildAnswer) int) int {
	most := 0
	for i := range builds {
		most = max(most, measure(&builds[i]))
	}
	return most
}

// compareDistance puts a part without a distance, which is a candidate by its
// family alone, last.
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
func (e *evaluation) instructions(candidates []Candidate) (map[string]*Family, map[string]*Procedure) {
	families, procedures := map[string]*Family{}, map[string]*Procedure{}
	for i := range candidates {
		for j := range candidates[i].Builds {
			answer := &candidates[i].Builds[j]
			if f := e.dossier.Families[answer.Family]; f != nil {
				families[answer.Family] = f
			}
			followed := []string{answer.Procedure}
			if answer.Proof != nil {
				followed = append(followed, answer.Proof.Procedure)
			}
			for _, name := range followed {
				if p := e.dossier.Procedures[name]; p != nil {
					procedures[name] = p
				}
			}
		}
	}
	return families, procedures
}

// adaptorsOf are the adaptors that the candidates take.
func (e *evaluation) adaptorsOf(candidates []Candidate) map[string]*Adaptor {
	taken := map[string]*Adaptor{}
	for i := range candidates {
		for _, stock := range candidates[i].AdaptorStock {
			taken[stock.PartNumber] = nil
		}
	}
	for i := range e.dossier.Adaptors {
		a := &e.dossier.Adaptors[i]
		if _, ok := taken[a.PartNumber]; ok {
			taken[a.PartNumber] = a
		}
	}
	return taken
}
