package page

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// verdict is one for people: a word, and the name of its shape and colour.
type verdict struct {
	Word  string
	Class string
}

func verdictOf(v standin.Verdict) verdict { return verdict{v.Phrase(), v.String()} }

// detail is something about a board, and for which builds it is so.
type detail struct {
	Word   string // what it is
	What   template.HTML
	Builds string // empty: all it may do for
	builds []string
}

// ticket is one board that can stand in, as the counter sees it.
func (p *Pages) ticket(a *standin.Answer, c *standin.Candidate, place int) template.HTML {
	groups := c.Groups()
	toDo, proofs := setUp(a, c, groups)
	v := verdictOf(c.Verdict)
	var m markup
	m.b.Grow(ticketBytes)
	m.html(`<li class="ticket `)
	m.text(v.Class)
	m.html(`-edge"><div class="stub" aria-hidden="true">`)
	m.text(strconv.Itoa(place))
	m.html(`</div><div class="body">`)
	m.head(c, v, a.Machine.Location)
	m.paragraph("small quiet", relation(c))
	m.facts(c, a.Machine.Location, toDo)
	m.paragraph("mark", swapCaution(c))
	m.paragraph("why", line(c, groups))
	if c.Verdict == standin.Check {
		m.checks(a, c, standin.Unknown)
	}
	m.remarks(a, c)
	m.html(`<details><summary data-stop>Why, and what proves it<span class="unseen">: `)
	m.text(c.PartNumber + " " + revisionText(c.Revision, c.Issue))
	m.html(`</span></summary>`)
	m.proofs(proofs)
	m.checks(a, c, standin.Fail, standin.Unknown, standin.Pass)
	m.html(`</details>`)
	if c.Verdict == standin.Fits || c.Verdict == standin.Check { // else there is no one job yet
		p.jobs(&m, &a.Machine, c)
	}
	m.html(`</div></li>`)
	return m.done()
}

// head is the number of a board with its link, its revision and the verdict.
func (m *markup) head(c *standin.Candidate, v verdict, location string) {
	m.html(`<div class="top"><h3>`)
	m.link("number", boardLink(c.PartNumber, location), c.PartNumber)
	m.small(revisionText(c.Revision, c.Issue))
	m.html(`</h3>`)
	m.verdict(v)
	m.html(`</div>`)
}

// remarks are what changes no verdict and must be known all the same.
func (m *markup) remarks(a *standin.Answer, c *standin.Candidate) {
	for _, r := range c.Remarks() {
		text := standin.Sentence(r.Text)
		if len(r.Builds) < len(a.Builds) {
			text += " (" + standin.BuildNames(r.Builds) + ")"
		}
		m.paragraph("why", text)
	}
}

// jobs are the links to the work with a board.
func (p *Pages) jobs(m *markup, machine *standin.Machine, c *standin.Candidate) {
	if !p.config.Bench && !p.config.Sheet {
		return
	}
	m.html(`<p class="jobs">`)
	if p.config.Bench {
		bench := jobLink("/bench", machine, c.PartNumber, c.Revision)
		if c.Verdict == standin.Check {
			m.link("press first", bench, "△ Check "+count(len(c.Reasons(standin.Unknown)), "thing", "things")+" first, at the bench")
		} else {
			m.link("press", bench, "To the bench")
		}
	}
	if p.config.Sheet {
		m.link("press plain", jobLink("/v1/sheets.pdf", machine, c.PartNumber, c.Revision), "Job sheet")
		m.link("press plain", jobLink("/v1/labels.pdf", machine, c.PartNumber, c.Revision), "Label")
	}
	m.html(`</p>`)
}

// setUp is what must be done with a board, each thing once, and what proves it.
func setUp(a *standin.Answer, c *standin.Candidate, groups [][]standin.BuildAnswer) (toDo, proofs []detail) {
	var settings, looms []detail
	for _, g := range groups {
		b := &g[0]
		if b.Verdict == standin.No {
			continue
		}
		settings = gathered(settings, toSet(b), g)
		looms = gathered(looms, toAdapt(c, b, a.Machine.Location), g)
		if proof := proofOf(a, b); proof.What != "" {
			proofs = gathered(proofs, proof, g)
		}
	}
	if len(looms) == 1 && looms[0].What == noLoom {
		looms = nil
	}
	return append(namingBuilds(settings), namingBuilds(looms)...), namingBuilds(proofs)
}

// facts are the stock and what is to be done, as a list.
func (m *markup) facts(c *standin.Candidate, location string, toDo []detail) {
	here, elsewhere, readLabel := shelves(c.Stock, c.Revision, location)
	m.html(`<dl class="facts"><div><dt>Stock here</dt><dd>`)
	if here != "" {
		m.html("<strong>")
		m.text(here)
		m.html("</strong>")
	} else {
		m.html("none")
	}
	m.html("</dd></div><div><dt>Elsewhere</dt><dd>")
	m.text(cmp.Or(elsewhere, "none"))
	m.html("</dd></div>")
	for i := range toDo {
		m.html("<div><dt>")
		m.text(toDo[i].Word)
		m.small(toDo[i].Builds)
		m.html("</dt><dd>")
		m.made(toDo[i].What)
		m.html("</dd></div>")
	}
	m.html("</dl>")
	if readLabel {
		m.paragraph("mark", "Read the revision off the label before it leaves the counter.")
	}
}

// proofs are what proves each setting, one paragraph per setting.
func (m *markup) proofs(proofs []detail) {
	for i := range proofs {
		m.html(`<p class="lamps">`)
		if proofs[i].Builds != "" {
			m.small(proofs[i].Builds + ": ")
		}
		m.made(proofs[i].What)
		m.html("</p>")
	}
}

// gathered is a list with one more detail, or with its builds added to those of
// the same.
func gathered(list []detail, one detail, group []standin.BuildAnswer) []detail {
	at := slices.IndexFunc(list, func(d detail) bool { return d.Word == one.Word && d.What == one.What })
	if at < 0 {
		at = len(list)
		list = append(list, one)
	}
	list[at].builds = append(list[at].builds, standin.Labels(group)...)
	return list
}

// namingBuilds returns a list whose details name the builds they are for, where they
// differ.
func namingBuilds(list []detail) []detail {
	if len(list) > 1 {
		for i := range list {
			list[i].Builds = standin.BuildNames(list[i].builds)
		}
	}
	return list
}

func toSet(b *standin.BuildAnswer) detail {
	var m markup
	switch {
	case b.Work == standin.Fixed:
		m.html("Nothing to configure.")
	case b.Work == standin.AsPreset:
		m.html("Supplied set for this model; no code to enter.")
	case len(b.Code) == 0:
		m.text("Configure it by its procedure" + quotedName(b.Procedure) + "; family " + b.Family + " has no code.")
	default:
		m.keys(b.Code)
		return detail{Word: "Enter", What: m.done()}
	}
	return detail{Word: "Set", What: m.done()}
}

// keys are the symbols of a code, each as a key.
func (m *markup) keys(code []string) {
	m.html(`<span class="keys">`)
	for _, symbol := range code {
		m.html("<kbd>")
		m.text(symbol)
		m.html("</kbd>")
	}
	m.html("</span>")
}

const noLoom = "none"

// toAdapt names the adaptors of a build, with the stock of each beside it.
func toAdapt(c *standin.Candidate, b *standin.BuildAnswer, location string) detail {
	if len(b.Adaptors) == 0 {
		return detail{Word: "Adaptor", What: noLoom}
	}
	var m markup
	for i, part := range b.Adaptors {
		if i > 0 {
			m.html(`<br>`)
		}
		m.html(`<span class="number">`)
		m.text(part)
		m.html(`</span>`)
		for j := range c.AdaptorStock {
			if s := &c.AdaptorStock[j]; s.PartNumber == part {
				m.small(s.Whereabouts(location))
			}
		}
	}
	return detail{Word: "Adaptor", What: m.done()}
}

func quotedName(name string) string {
	if name == "" {
		return ""
	}
	return " “" + name + "”"
}

// proofOf is what proves the setting of a build; its What is empty where there
// is no setting to prove.
func proofOf(a *standin.Answer, b *standin.BuildAnswer) detail {
	family := a.Families[b.Family]
	if b.Work != standin.Configure && b.Work != standin.AsPreset || family == nil || len(family.Readback) == 0 {
		return detail{}
	}
	var m markup
	proof := b.Proved()
	if b.Work == standin.AsPreset {
		if proof.Pattern == "" {
			m.html("What it must read back is not recorded.")
			return detail{What: m.done()}
		}
		m.html("Supplied set to ")
		m.keys(proof.Code)
		m.html(" ")
	}
	if proof.Pattern == "" {
		m.html("No pattern is recorded: the code cannot be proved by reading it back.")
		return detail{What: m.done()}
	}
	m.html("Must read back: ")
	for i := range min(len(proof.Pattern), len(family.Readback)) {
		m.html(`<span class="lamp `)
		if family.PointShows(i) == lamps || proof.Pattern[i] == standin.ShowsEither {
			m.text(standin.ShownWord(proof.Pattern[i]))
		}
		m.html(`"><b>`)
		m.text(family.Readback[i])
		m.html(`</b> `)
		m.text(family.Shown(i, proof.Pattern[i]))
		m.html(`</span> `)
	}
	return detail{What: m.done()}
}

// line is the reason in a line: what is open, or how the builds differ.
func line(c *standin.Candidate, groups [][]standin.BuildAnswer) string {
	switch c.Verdict {
	case standin.Fits:
		return "Every check passes."
	case standin.Check:
		return "Check first, before it is taken: " + count(len(c.Reasons(standin.Unknown)), "thing is", "things are") + " not known."
	}
	var said []string
	alike := true
	for _, g := range groups {
		said = append(said, standin.BuildNames(standin.Labels(g))+" it "+inBuild[g[0].Verdict])
		alike = alike && g[0].Verdict == groups[0][0].Verdict
	}
	if alike {
		return "It may stand in for every build, but its setting or adaptors differ."
	}
	return "In " + strings.Join(said, "; in ") + "."
}

// inBuild says a verdict for one build.
var inBuild = [...]string{
	standin.Fits: "fits", standin.Check: "may fit, once checked", standin.Depends: "depends", standin.No: "does not fit",
}

// checks are the reasons of these outcomes as a list.
func (m *markup) checks(a *standin.Answer, c *standin.Candidate, outcomes ...standin.Outcome) {
	m.html(`<ul class="checks">`)
	for _, outcome := range outcomes {
		for _, r := range c.Reasons(outcome) {
			m.html(`<li class="o-`)
			m.text(outcome.String())
			m.html(`"><b>`)
			m.text(outcome.String())
			m.html(`</b> `)
			m.text(r.Check)
			m.html(`: `)
			m.text(standin.Sentence(r.Text))
			if len(r.Builds) < len(a.Builds) {
				m.small("(" + standin.BuildNames(r.Builds) + ")")
			}
			m.html("</li>")
		}
	}
	m.html("</ul>")
}

// swapCaution names the headers that plugs can be swapped between, empty where
// there are none.
func swapCaution(c *standin.Candidate) string {
	var pairs [][2]string
	for _, s := range c.SwappableHeaders() {
		pairs = append(pairs, s.Headers)
	}
	if caution := standin.SwappableCaution(pairs...); caution != "" {
		return caution + "."
	}
	return ""
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

// misfit is a board that does not fit, with its reasons.
func misfit(a *standin.Answer, c *standin.Candidate) template.HTML {
	var m markup
	m.html(`<li class="sheet">`)
	m.head(c, verdictOf(c.Verdict), a.Machine.Location)
	m.paragraph("small quiet", c.Whereabouts(a.Machine.Location))
	m.checks(a, c, standin.Fail)
	m.html(`</li>`)
	return m.done()
}
