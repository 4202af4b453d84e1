package page

import (
	"slices"
	"strings"

	"standin"
)

// verdict is one for people: a word, and the name of its shape and colour.
type verdict struct {
	Word  string
	Class string
}

func verdictOf(v standin.Verdict) verdict { return verdict{verdictWords[v], v.String()} }

// candidate is one board that can stand in, as the counter sees it.
type candidate struct {
	Place     int
	Name      string // part number
	Revision  string
	About     string // title, and how it is related to the factory board
	Verdict   verdict
	Board     string // links; empty: there is no such page
	Bench     string
	Sheet     string
	Here      string // stock at the asked location
	Elsewhere string
	ReadLabel bool // stock whose revision must be read off the label
	Works     []work
	Looms     []loom
	Line      string   // why, in a line
	Marks     []string // plugs that must be marked
	Checks    []check
	Patterns  []pattern
}

// work is how a board is set before it is fitted: a code to enter, or what is
// said instead of one.
type work struct {
	Builds string // for which; empty: for all it may do for
	Keys   []string
	Text   string
	builds []string
}

// loom is an adaptor, or several, that the plugs need.
type loom struct {
	Builds   string // for which; empty: for all it may do for
	Adaptors string // empty: none
	builds   []string
}

// check is a check with its outcome and its reason.
type check struct {
	Check   string
	Outcome string
	Reason  string
	Builds  string // for which; empty: for all
}

// pattern is what proves a setting.
type pattern struct {
	Builds string // for which; empty: for all it may do for
	Points []point
	None   string // why there is none; empty: there is
	builds []string
}

type point struct{ Name, Shows, Class string }

func (p *Pages) candidate(a *standin.Answer, c *standin.Candidate, place int) candidate {
	m := &a.Machine
	out := candidate{
		Place: place, Name: c.PartNumber, Revision: revisionText(c.Revision, c.Issue), About: relation(c),
		Verdict: verdictOf(c.Verdict), Board: boardLink(c.PartNumber, m.Location),
	}
	settled := c.Verdict == standin.Fits || c.Verdict == standin.Check // else there is no one job yet
	if p.config.Bench && settled {
		out.Bench = jobLink("/bench", m, c.PartNumber, c.Revision)
	}
	if p.config.Sheet && settled {
		out.Sheet = jobLink("/v1/sheets.pdf", m, c.PartNumber, c.Revision)
	}
	out.Here, out.Elsewhere, out.ReadLabel = shelves(c.Stock, m.Location)
	groups := c.Groups()
	out.setUp(a, groups)
	out.Line = line(c, groups)
	out.Checks = checks(a, c)
	out.Marks = marks(c)
	return out
}

// setUp is what must be done with a board, each thing once, and what proves it.
func (out *candidate) setUp(a *standin.Answer, groups [][]standin.BuildAnswer) {
	for _, g := range groups {
		b := &g[0]
		if b.Verdict == standin.No {
			continue
		}
		out.addWork(workOf(b), labels(g))
		out.addLoom(and(b.Adaptors), labels(g))
		if proof, ok := patternOf(a, b); ok {
			out.addPattern(proof, labels(g))
		}
	}
	if len(out.Works) > 1 {
		for i := range out.Works {
			out.Works[i].Builds = buildNames(out.Works[i].builds)
		}
	}
	if len(out.Patterns) > 1 {
		for i := range out.Patterns {
			out.Patterns[i].Builds = buildNames(out.Patterns[i].builds)
		}
	}
	switch {
	case len(out.Looms) > 1:
		for i := range out.Looms {
			out.Looms[i].Builds = buildNames(out.Looms[i].builds)
		}
	case len(out.Looms) == 1 && out.Looms[0].Adaptors == "":
		out.Looms = nil
	}
}

func (out *candidate) addWork(w work, builds []string) {
	at := slices.IndexFunc(out.Works, func(have work) bool { return have.Text == w.Text && slices.Equal(have.Keys, w.Keys) })
	if at < 0 {
		at = len(out.Works)
		out.Works = append(out.Works, w)
	}
	out.Works[at].builds = append(out.Works[at].builds, builds...)
}

func (out *candidate) addLoom(adaptors string, builds []string) {
	at := slices.IndexFunc(out.Looms, func(have loom) bool { return have.Adaptors == adaptors })
	if at < 0 {
		at = len(out.Looms)
		out.Looms = append(out.Looms, loom{Adaptors: adaptors})
	}
	out.Looms[at].builds = append(out.Looms[at].builds, builds...)
}

func (out *candidate) addPattern(p pattern, builds []string) {
	at := slices.IndexFunc(out.Patterns, func(have pattern) bool { return have.None == p.None && slices.Equal(have.Points, p.Points) })
	if at < 0 {
		at = len(out.Patterns)
		out.Patterns = append(out.Patterns, p)
	}
	out.Patterns[at].builds = append(out.Patterns[at].builds, builds...)
}

func workOf(b *standin.BuildAnswer) work {
	w := work{}
	switch b.Work {
	case standin.Fixed:
		w.Text = "Nothing to configure."
	case standin.AsPreset:
		w.Text = "Supplied set for this model; no code to enter."
	case standin.Configure:
		w.Keys = b.Code
		if len(b.Code) == 0 {
			w.Text = "Configure it by its procedure" + quotedName(b.Procedure) + "; family " + b.Family + " has no code."
		}
	}
	return w
}

func quotedName(name string) string {
	if name == "" {
		return ""
	}
	return " “" + name + "”"
}

// patternOf is what proves the setting of a build, and whether there is a
// setting to prove.
func patternOf(a *standin.Answer, b *standin.BuildAnswer) (pattern, bool) {
	family := a.Families[b.Family]
	if b.Work != standin.Configure || family == nil || len(family.Readback) == 0 {
		return pattern{}, false
	}
	if b.Pattern == "" {
		return pattern{None: "No pattern is recorded: the code cannot be proved by reading it back."}, true
	}
	var p pattern
	for i := range len(b.Pattern) {
		if i < len(family.Readback) {
			shows := shown[b.Pattern[i]]
			p.Points = append(p.Points, point{family.Readback[i], shows, shows})
		}
	}
	return p, true
}

// shown is how people say what a read-back point shows.
var shown = map[byte]string{
	standin.ShowsLit: "lit", standin.ShowsUnlit: "unlit", standin.ShowsFlashing: "flashing", standin.ShowsEither: "either",
}

// line is the reason in a line: what is open, or how the builds differ.
func line(c *standin.Candidate, groups [][]standin.BuildAnswer) string {
	switch c.Verdict {
	case standin.Fits:
		return "Every check passes."
	case standin.Check:
		open := c.Reasons(standin.Unknown)
		if more := len(open) - 1; more > 0 {
			return sentence("check "+open[0].Check+": "+open[0].Text) + " And " + count(more, "more", "more") + "."
		}
		return sentence("check " + open[0].Check + ": " + open[0].Text)
	}
	var said []string
	alike := true
	for _, g := range groups {
		said = append(said, buildNames(labels(g))+" it "+inBuild[g[0].Verdict])
		alike = alike && g[0].Verdict == groups[0][0].Verdict
	}
	if alike {
		return "It may do in each of the builds, but is not set or connected alike."
	}
	return "In " + strings.Join(said, "; in ") + "."
}

// inBuild says a verdict for one build.
var inBuild = [...]string{
	standin.Fits: "fits", standin.Check: "may do, once checked", standin.Depends: "depends", standin.No: "does not fit",
}

// checks are all reasons, those that matter first.
func checks(a *standin.Answer, c *standin.Candidate) []check {
	var all []check
	for _, outcome := range []standin.Outcome{standin.Fail, standin.Unknown, standin.Pass} {
		for _, r := range c.Reasons(outcome) {
			one := check{r.Check, outcome.String(), sentence(r.Text), ""}
			if len(r.Builds) < len(a.Builds) {
				one.Builds = buildNames(r.Builds)
			}
			all = append(all, one)
		}
	}
	return all
}

// marks are the headers that the same plug seats on.
func marks(c *standin.Candidate) []string {
	var all []string
	seen := map[[2]string]bool{}
	for i := range c.Builds {
		if c.Builds[i].Verdict == standin.No {
			continue
		}
		for _, pair := range c.Builds[i].Swappable {
			if !seen[pair] {
				seen[pair] = true
				all = append(all, pair[0]+" and "+pair[1])
			}
		}
	}
	return all
}

// relation is the title, and how the board is related to the factory's.
func relation(c *standin.Candidate) string {
	said := c.Title
	if d, ok := c.Distance.Get(); ok {
		if said != "" {
			said += " · "
		}
		if d == 0 {
			return said + "the factory board"
		}
		return said + count(d, "supersession", "supersessions") + " from the factory board"
	}
	return said
}

func labels(group []standin.BuildAnswer) []string {
	all := make([]string, len(group))
	for i := range group {
		all[i] = group[i].Build
	}
	return all
}

// ruled is a board that does not fit, with its reasons.
type ruled struct {
	Name, Revision, Board, Stock string
	Verdict                      verdict
	Checks                       []check
}

func ruledOut(a *standin.Answer, c *standin.Candidate) ruled {
	out := ruled{
		Name: c.PartNumber, Revision: revisionText(c.Revision, c.Issue), Board: boardLink(c.PartNumber, a.Machine.Location),
		Verdict: verdictOf(c.Verdict), Stock: whereabouts(c.Stock, a.Machine.Location),
	}
	for _, one := range checks(a, c) {
		if one.Outcome == standin.Fail.String() {
			out.Checks = append(out.Checks, one)
		}
	}
	return out
}
