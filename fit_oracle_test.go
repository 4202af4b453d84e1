package standin_test

import (
	"slices"
	"strings"

	"standin"
)

// The fit_oracle files implement the rules of fit a second time, as slowly and
// literally as they are written, to compare Fit with. They share nothing with it
// but the types. Outcomes are compared, wording is not.

// outcomes are the parts of an answer that are compared.
type outcomes struct {
	Builds        []string
	Contradiction []string
	NotUsed       []string
	Candidates    []candidateOutcome
}

type candidateOutcome struct {
	Part, Revision string
	Issue          standin.Maybe[int]
	Verdict        standin.Verdict
	Distance       standin.Maybe[int]
	Stock          []standin.StockLine
	AdaptorStock   []standin.PartStock
	Availability   string
	Builds         []buildOutcome
}

type buildOutcome struct {
	Build                   string
	Verdict                 standin.Verdict
	Work                    standin.Work
	Code, Pattern, Adaptors string
	Proof                   string
	Checks                  map[string]standin.Outcome
}

// oracle returns the answer of the second implementation. Where several sets of
// evidence are the smallest that contradict, contradictions has all of them.
func oracle(d *standin.Dossier, m standin.Machine) (o outcomes, contradictions [][]string) {
	builds := d.Builds
	if len(builds) == 0 {
		builds = []standin.Build{{}}
	}
	evidence, notUsed := oracleEvidence(d, m, builds)
	o.NotUsed = notUsed
	if len(d.Builds) == 0 {
		builds[0].Position = m.Position // whatever board it is about
	}
	var possible []standin.Build
	for i, b := range builds {
		if allowed(evidence, i) {
			possible = append(possible, b)
			o.Builds = append(o.Builds, buildName(b, builds))
		}
	}
	if len(possible) == 0 {
		return o, smallestContradictions(evidence, len(builds))
	}
	distance := distances(d, possible)
	for _, board := range d.Boards {
		if !lookedAt(d, board, distance) {
			continue
		}
		for _, r := range board.Revisions {
			c := oracleCandidate(d, board, r, possible, distance)
			for i := range c.Builds {
				c.Builds[i].Build = o.Builds[i]
			}
			c.AdaptorStock, c.Availability = adaptorStock(d, c.Builds), classes[availabilityOf(d, c, m.Location)]
			o.Candidates = append(o.Candidates, c)
		}
	}
	slices.SortFunc(o.Candidates, func(a, b candidateOutcome) int { return slices.Compare(rank(d, a, m), rank(d, b, m)) })
	return o, nil
}

// buildName returns the name of a build: its label, with its position where the
// label alone could mean another.
func buildName(b standin.Build, all []standin.Build) string {
	same := 0
	for _, other := range all {
		if other.Label == b.Label {
			same++
		}
	}
	if same < 2 {
		return b.Label
	}
	return strings.TrimSpace(place(b.Position) + " " + b.Label)
}

// lookedAt reports whether rule 2 looks at a board.
func lookedAt(d *standin.Dossier, board standin.Board, distance map[string]int) bool {
	for _, c := range d.Configurations {
		if c.Family == board.Family {
			return true
		}
	}
	for _, p := range d.Presets {
		if p.PartNumber == board.PartNumber {
			return true
		}
	}
	_, chained := distance[board.PartNumber]
	return chained
}

// distances are the fewest supersessions walked to each part from a factory
// part of the builds: links are walked until no distance gets shorter.
func distances(d *standin.Dossier, builds []standin.Build) map[string]int {
	reached := map[string]int{}
	for _, b := range builds {
		if b.PartNumber != "" {
			reached[b.PartNumber] = 0
		}
	}
	walk := func(from, to string) bool {
		steps, ok := reached[from]
		if have, there := reached[to]; !ok || there && have <= steps+1 {
			return false
		}
		reached[to] = steps + 1
		return true
	}
	for again := true; again; {
		again = false
		for _, s := range d.Supersessions {
			if walk(s.Old, s.New) || s.TwoWay && walk(s.New, s.Old) {
				again = true
			}
		}
	}
	return reached
}

func oracleCandidate(d *standin.Dossier, board standin.Board, r standin.Revision, builds []standin.Build, distance map[string]int) candidateOutcome {
	c := candidateOutcome{Part: board.PartNumber, Revision: r.Label, Issue: r.Issue}
	if steps, ok := distance[board.PartNumber]; ok {
		c.Distance = standin.Known(steps)
	}
	connectors := oracleSeats(d, builds, r.Layout)
	for i, b := range builds {
		c.Builds = append(c.Builds, oracleBuild(d, board, r, b, connectors[i]))
	}
	c.Verdict = overBuilds(c.Builds)
	for _, s := range d.Stock {
		if s.PartNumber == board.PartNumber && (s.Revision == r.Label || s.Revision == "") {
			c.Stock = append(c.Stock, standin.StockLine{Location: s.Location, Condition: s.Condition, Free: s.Free, RevisionKnown: s.Revision != ""})
		}
	}
	slices.SortFunc(c.Stock, compareStock)
	return c
}

// overBuilds returns the one verdict of rule 4 over all builds.
func overBuilds(builds []buildOutcome) standin.Verdict {
	count := map[standin.Verdict]int{}
	alike := true
	for _, b := range builds {
		count[b.Verdict]++
		first := builds[0]
		alike = alike && b.Code == first.Code && b.Pattern == first.Pattern && b.Adaptors == first.Adaptors
	}
	switch {
	case count[standin.No] == len(builds):
		return standin.No
	case count[standin.No] > 0 || !alike:
		return standin.Depends
	case count[standin.Check] > 0:
		return standin.Check
	}
	return standin.Fits
}

// The classes of availability, in order.
var classes = []string{"here", "here-if-revision", "elsewhere", "elsewhere-if-revision", "none"}

// classOf returns the class of a line of stock, as an index into classes.
func classOf(s standin.Stock, location string) int {
	class := 0
	if s.Location != location || location == "" {
		class = 2
	}
	if s.Revision == "" {
		class++
	}
	return class
}

// availabilityOf returns the worst of a board's class and those of its adaptors.
func availabilityOf(d *standin.Dossier, c candidateOutcome, location string) int {
	class, _ := ownClass(d, c, location)
	for _, b := range c.Builds {
		for _, adaptor := range strings.Fields(b.Adaptors) {
			best, recorded := 4, false
			for _, s := range d.Stock {
				if s.PartNumber != adaptor {
					continue
				}
				recorded = true
				s.Revision = "none to read"
				if s.Free > 0 {
					best = min(best, classOf(s, location))
				}
			}
			if recorded {
				class = max(class, best)
			}
		}
	}
	return class
}

// ownClass returns the class of a board's own stock, and the best condition in it.
func ownClass(d *standin.Dossier, c candidateOutcome, location string) (class, condition int) {
	class, condition = 4, 3
	for _, s := range d.Stock {
		if s.PartNumber != c.Part || s.Free == 0 || s.Revision != "" && s.Revision != c.Revision {
			continue
		}
		its, rank := classOf(s, location), map[string]int{"new": 0, "refurbished": 1, "used": 2}[s.Condition]
		switch {
		case its < class:
			class, condition = its, rank
		case its == class:
			condition = min(condition, rank)
		}
	}
	return class, condition
}

// adaptorStock is what there is of each adaptor that a candidate takes.
func adaptorStock(d *standin.Dossier, builds []buildOutcome) (all []standin.PartStock) {
	var parts []string
	for _, b := range builds {
		parts = append(parts, strings.Fields(b.Adaptors)...)
	}
	slices.Sort(parts)
	for _, part := range slices.Compact(parts) {
		one := standin.PartStock{PartNumber: part}
		for _, s := range d.Stock {
			if s.PartNumber == part {
				one.Recorded = true
				one.Stock = append(one.Stock, standin.StockLine{Location: s.Location, Condition: s.Condition, Free: s.Free, RevisionKnown: true})
			}
		}
		slices.SortFunc(one.Stock, compareStock)
		all = append(all, one)
	}
	return all
}

// rank returns the key by which candidates are ordered. It ends with part and
// revision, letter by letter.
func rank(d *standin.Dossier, c candidateOutcome, m standin.Machine) []int {
	work, adaptors := 0, 0
	for _, b := range c.Builds {
		if b.Work == standin.Configure {
			work = 1
		}
		adaptors = max(adaptors, len(strings.Fields(b.Adaptors)))
	}
	_, condition := ownClass(d, c, m.Location)
	const last = 1 << 30
	key := []int{int(c.Verdict), availabilityOf(d, c, m.Location), condition, work, adaptors, c.Distance.Or(last), -c.Issue.Or(-last)}
	for _, letter := range c.Part + "\x00" + c.Revision {
		key = append(key, int(letter))
	}
	return key
}

func compareStock(a, b standin.StockLine) int {
	spell := func(s standin.StockLine) string {
		known := "unknown"
		if s.RevisionKnown {
			known = "known"
		}
		return s.Location + " " + s.Condition + " " + known + " " + strings.Repeat("|", s.Free)
	}
	return strings.Compare(spell(a), spell(b))
}

// outcomesOf returns the parts of Fit's answer that are compared.
func outcomesOf(a standin.Answer) (o outcomes) {
	for _, b := range a.Builds {
		o.Builds = append(o.Builds, b.Label)
	}
	if a.Contradiction != nil {
		o.Contradiction = a.Contradiction.Evidence
	}
	for _, n := range a.NotUsed {
		o.NotUsed = append(o.NotUsed, n.Evidence)
	}
	for _, c := range a.Candidates {
		j := candidateOutcome{Part: c.PartNumber, Revision: c.Revision, Issue: c.Issue, Verdict: c.Verdict, Distance: c.Distance, Stock: append([]standin.StockLine(nil), c.Stock...)}
		slices.SortFunc(j.Stock, compareStock)
		j.Availability = c.Availability.String()
		for _, s := range c.AdaptorStock {
			s.Stock = append([]standin.StockLine(nil), s.Stock...)
			slices.SortFunc(s.Stock, compareStock)
			j.AdaptorStock = append(j.AdaptorStock, s)
		}
		for _, b := range c.Builds {
			jb := buildOutcome{Build: b.Build, Verdict: b.Verdict, Work: b.Work, Code: strings.Join(b.Code, " "), Pattern: string(b.Pattern),
				Adaptors: strings.Join(b.Adaptors, " "), Checks: map[string]standin.Outcome{}}
			if b.Proof != nil {
				jb.Proof = strings.Join(b.Proof.Code, " ") + " shows " + string(b.Proof.Pattern)
			}
			for _, c := range b.Checks {
				jb.Checks[c.Check] = c.Outcome
			}
			j.Builds = append(j.Builds, jb)
		}
		o.Candidates = append(o.Candidates, j)
	}
	return o
}
