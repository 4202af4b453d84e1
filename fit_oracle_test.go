package standin_test

import (
	"slices"
	"strings"

	"standin"
)

// This file and its oracle_ neighbours read the rules of fit a second time, as
// slowly and literally as they are written, to compare Fit with. They share
// nothing with it but the types. Only outcomes are compared, no wording.

// outcomes is what is compared of an answer.
type outcomes struct {
	Builds        []string
	Contradiction []string
	NotUsed       []string
	Candidates    []judged
}

type judged struct {
	Part, Revision string
	Issue          standin.Maybe[int]
	Verdict        standin.Verdict
	Distance       standin.Maybe[int]
	Stock          []standin.StockLine
	Builds         []judgedBuild
}

type judgedBuild struct {
	Build                   string
	Verdict                 standin.Verdict
	Work                    standin.Work
	Code, Pattern, Adaptors string
	Checks                  map[string]standin.Outcome
}

// oracle is the answer of the second reading. Where several sets of evidence
// are the smallest that contradict, contradictions has all of them.
func oracle(d *standin.Dossier, m standin.Machine) (o outcomes, contradictions [][]string) {
	builds := d.Builds
	if len(builds) == 0 {
		builds = []standin.Build{{}}
	}
	evidence, notUsed := oracleEvidence(d, m, builds)
	o.NotUsed = notUsed
	var possible []standin.Build
	for i, b := range builds {
		if allowed(evidence, i) {
			possible = append(possible, b)
			o.Builds = append(o.Builds, b.Label)
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
			o.Candidates = append(o.Candidates, oracleCandidate(d, board, r, possible, distance))
		}
	}
	slices.SortFunc(o.Candidates, func(a, b judged) int { return slices.Compare(rank(a, m), rank(b, m)) })
	return o, nil
}

// lookedAt is rule 2.
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

func oracleCandidate(d *standin.Dossier, board standin.Board, r standin.Revision, builds []standin.Build, distance map[string]int) judged {
	c := judged{Part: board.PartNumber, Revision: r.Label, Issue: r.Issue}
	if steps, ok := distance[board.PartNumber]; ok {
		c.Distance = standin.Known(steps)
	}
	for _, b := range builds {
		c.Builds = append(c.Builds, oracleBuild(d, board, r, b))
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

// overBuilds is rule 4's one verdict.
func overBuilds(builds []judgedBuild) standin.Verdict {
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

// rank orders candidates: the lesser comes first. Part and revision are spelt
// out letter by letter at its end.
func rank(c judged, m standin.Machine) []int {
	const atLocation, anywhere, nowhere = 0, 1, 2
	stock := nowhere
	for _, s := range c.Stock {
		switch {
		case s.Free > 0 && s.Location == m.Location:
			stock = atLocation
		case s.Free > 0 && stock == nowhere:
			stock = anywhere
		}
	}
	work, adaptors := 0, 0
	for _, b := range c.Builds {
		if b.Work == standin.Configure {
			work = 1
		}
		adaptors = max(adaptors, len(strings.Fields(b.Adaptors)))
	}
	const last = 1 << 30
	key := []int{int(c.Verdict), stock, work, adaptors, c.Distance.Or(last), -c.Issue.Or(-last)}
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

// outcomesOf is what is compared of Fit's answer.
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
		j := judged{Part: c.PartNumber, Revision: c.Revision, Issue: c.Issue, Verdict: c.Verdict, Distance: c.Distance, Stock: append([]standin.StockLine(nil), c.Stock...)}
		slices.SortFunc(j.Stock, compareStock)
		for _, b := range c.Builds {
			jb := judgedBuild{Build: b.Build, Verdict: b.Verdict, Work: b.Work, Code: strings.Join(b.Code, " "), Pattern: string(b.Pattern),
				Adaptors: strings.Join(b.Adaptors, " "), Checks: map[string]standin.Outcome{}}
			for _, c := range b.Checks {
				jb.Checks[c.Check] = c.Outcome
			}
			j.Builds = append(j.Builds, jb)
		}
		o.Candidates = append(o.Candidates, j)
	}
	return o
}
