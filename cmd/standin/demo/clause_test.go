package demo

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// clause is what is wrong with a candidate, nil where nothing is.
type clause func(*standin.Candidate) error

// parseClauses reads the clauses behind a verdict. From "in BUILD VERDICT" on
// they are about that build.
func parseClauses(texts []string) ([]clause, error) {
	var clauses []clause
	build := ""
	for _, text := range texts {
		kind, value, _ := strings.Cut(text, " ")
		if value == "" {
			return nil, fmt.Errorf("%q says nothing", text)
		}
		if kind == "in" {
			label, verdict, _ := strings.Cut(value, " ")
			if !isVerdict(verdict) {
				return nil, fmt.Errorf("%q: write in BUILD VERDICT", text)
			}
			build, kind, value = label, "verdict", verdict
		}
		c, err := parseClause(kind, value, build)
		if err != nil {
			return nil, err
		}
		clauses = append(clauses, c)
	}
	return clauses, nil
}

func parseClause(kind, value, build string) (clause, error) {
	if say := aboutBuild[kind]; say != nil {
		return inBuilds(build, func(b *standin.BuildAnswer) error { return want(kind, say(b), value) }), nil
	}
	switch {
	case build != "":
	case kind == "distance":
		return func(c *standin.Candidate) error { return want(kind, distance(c), value) }, nil
	case kind == "availability":
		return func(c *standin.Candidate) error { return want(kind, c.Availability.String(), value) }, nil
	case kind == "loom":
		return func(c *standin.Candidate) error { return hasLoom(c, value) }, nil
	case kind == "stock":
		return func(c *standin.Candidate) error { return hasStock(c, value) }, nil
	}
	return nil, fmt.Errorf("%q is not a clause here", kind+" "+value)
}

// inBuilds applies a test to one build, or to every one where none is named.
func inBuilds(build string, holds func(*standin.BuildAnswer) error) clause {
	return func(c *standin.Candidate) error {
		met := false
		for i := range c.Builds {
			b := &c.Builds[i]
			if build != "" && b.Build != build {
				continue
			}
			met = true
			if err := holds(b); err != nil {
				return fmt.Errorf("%w: %s", err, judged(c.Builds[i:i+1]))
			}
		}
		if !met {
			return fmt.Errorf("no answer for build %s", build)
		}
		return nil
	}
}

// judged is why the builds are judged as they are: every check that does not pass.
func judged(builds []standin.BuildAnswer) string {
	var lines []string
	for _, b := range builds {
		lines = append(lines, "in "+orDash(b.Build)+" "+b.Verdict.String())
		for _, c := range b.Checks {
			if c.Outcome != standin.Pass {
				lines = append(lines, c.Check+" "+c.Outcome.String()+" ("+c.Reason+")")
			}
		}
	}
	return strings.Join(lines, ", ")
}

// aboutBuild says each thing of the answer for a build as the clauses do.
var aboutBuild = map[string]func(*standin.BuildAnswer) string{
	"verdict":   func(b *standin.BuildAnswer) string { return b.Verdict.String() },
	"code":      func(b *standin.BuildAnswer) string { return list(b.Code) },
	"pattern":   func(b *standin.BuildAnswer) string { return orNone(string(b.Pattern)) },
	"proof":     func(b *standin.BuildAnswer) string { return list(b.Proved().Code) },
	"shows":     func(b *standin.BuildAnswer) string { return orNone(string(b.Proved().Pattern)) },
	"adaptors":  func(b *standin.BuildAnswer) string { return list(b.Adaptors) },
	"work":      func(b *standin.BuildAnswer) string { return orNone(string(b.Work)) },
	"source":    func(b *standin.BuildAnswer) string { return orNone(b.Source) },
	"procedure": func(b *standin.BuildAnswer) string { return orNone(b.Procedure) },
	"swappable": func(b *standin.BuildAnswer) string { return list(pairs(b.Swappable)) },
	"fails":     func(b *standin.BuildAnswer) string { return list(checksThat(b, standin.Fail)) },
	"unknown":   func(b *standin.BuildAnswer) string { return list(checksThat(b, standin.Unknown)) },
}

func list(words []string) string { return orNone(strings.Join(words, " ")) }

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

func pairs(swappable [][2]string) []string {
	var words []string
	for _, p := range swappable {
		words = append(words, p[0]+"+"+p[1])
	}
	return words
}

func checksThat(b *standin.BuildAnswer, outcome standin.Outcome) []string {
	var names []string
	for _, c := range b.Checks {
		if c.Outcome == outcome {
			names = append(names, c.Check)
		}
	}
	return names
}

func distance(c *standin.Candidate) string {
	if !c.Distance.Known {
		return "none"
	}
	return strconv.Itoa(c.Distance.V)
}

func hasStock(c *standin.Candidate, value string) error {
	var lines []string
	for _, s := range c.Stock {
		line := fmt.Sprintf("%s %s %d", s.Location, s.Condition, s.Free)
		if !s.RevisionKnown {
			line += " label unread"
		}
		lines = append(lines, line)
	}
	if slices.Contains(lines, value) {
		return nil
	}
	return fmt.Errorf("stock: got %s", strings.Join(lines, ", "))
}

// hasLoom reads a line of an adaptor's stock: PART LOCATION CONDITION FREE.
func hasLoom(c *standin.Candidate, value string) error {
	var lines []string
	for _, p := range c.AdaptorStock {
		for _, s := range p.Stock {
			lines = append(lines, fmt.Sprintf("%s %s %s %d", p.PartNumber, s.Location, s.Condition, s.Free))
		}
	}
	if slices.Contains(lines, value) {
		return nil
	}
	return fmt.Errorf("adaptors' stock: got %s", strings.Join(lines, ", "))
}
