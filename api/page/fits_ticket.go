package page

import (
	"cmp"
	"html/template"
	"slices"
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
	Short  string // the same in a word or two, where it is no code
	Builds string // empty: all it may do for
	builds []string
}

// enter is the word of a setting that is a code.
const enter = "Enter"

// plan is what must be done with a board, each thing once, and what proves it.
type plan struct{ settings, looms, proofs []detail }

// body is what the answer says of a board below its name: the shelf and what is to
// be done, what is not known yet, the work, and then why.
func (p *Pages) body(m *markup, a *standin.Answer, c *standin.Candidate, todo *plan) {
	m.facts(c, a.Machine.Location, todo)
	m.unknowns(a, c)
	m.paragraph("mark", swapCaution(c))
	m.paragraph("why", differing(c))
	if c.Verdict == standin.Fits || c.Verdict == standin.Check { // else there is no one job yet
		p.jobs(m, &a.Machine, c)
	}
	m.paragraph("small quiet", relation(c))
	m.html(`<details><summary data-stop>Why, and what proves it<span class="unseen">: `)
	m.text(c.PartNumber + " " + revisionText(c.Revision, c.Issue))
	m.html(`</span></summary>`)
	m.proofs(todo.proofs)
	m.checks(a, c, standin.Fail, standin.Unknown, standin.Pass)
	m.html(`</details>`)
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

// unknowns are what has to be looked at before the board is taken: checks whose
// outcome is not known, a revision that only the label shows, and what changes no
// verdict and must be known all the same.
func (m *markup) unknowns(a *standin.Answer, c *standin.Candidate) {
	if c.Verdict == standin.Check {
		m.html(`<h4>Not known yet</h4>`)
		m.checks(a, c, standin.Unknown)
	}
	if _, _, readLabel := shelves(c.Stock, c.Revision, a.Machine.Location); readLabel {
		m.paragraph("mark", "Read the revision off the label before it leaves the counter.")
	}
	m.remarks(a, c)
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
	m.html(`<p class="jobs">`)
	if p.config.Bench {
		bench := jobLink("/bench", machine, c.PartNumber, c.Revision)
		if c.Verdict == standin.Check {
			m.press(" first", bench, "△ Check "+count(len(c.Reasons(standin.Unknown)), "thing", "things")+" first, at the bench")
		} else {
			m.press("", bench, "To the bench")
		}
	}
	if p.config.Sheet {
		m.press(" plain", jobLink("/v1/sheets.pdf", machine, c.PartNumber, c.Revision), "Job sheet")
		m.press(" plain", jobLink("/v1/labels.pdf", machine, c.PartNumber, c.Revision), "Label")
	}
	if p.config.Shop != nil && slices.ContainsFunc(c.Stock, func(l standin.StockLine) bool { return l.Free > 0 }) {
		m.press(" plain", shelfLink(c.PartNumber, c.Revision, machine.Location), "Hold or sell")
	}
	m.html(`<button type="button" class="press plain" data-share data-say-done="Address copied" hidden>Send this answer</button></p>`)
}

// setUp is what must be done with a board, and what proves it.
func setUp(a *standin.Answer, c *standin.Candidate) *plan {
	var todo plan
	for _, g := range c.Groups() {
		b := &g[0]
		if b.Verdict == standin.No {
			continue
		}
		todo.settings = gathered(todo.settings, toSet(b), g)
		todo.looms = gathered(todo.looms, toAdapt(c, b, a.Machine.Location), g)
		if proof := proofOf(a, b); proof.What != "" {
			todo.proofs = gathered(todo.proofs, proof, g)
		}
	}
	if len(todo.looms) == 1 && todo.looms[0].What == noLoom {
		todo.looms = nil
	}
	return &plan{namingBuilds(todo.settings), namingBuilds(todo.looms), namingBuilds(todo.proofs)}
}

// facts are the shelf and what is to be done, as a list.
func (m *markup) facts(c *standin.Candidate, location string, todo *plan) {
	here, elsewhere, _ := shelves(c.Stock, c.Revision, location)
	m.html(`<dl class="facts">`)
	switch {
	case location == "" || here == "" && elsewhere == "":
		m.fact("Stock", cmp.Or(elsewhere, "none"))
	case here == "":
		m.fact("Elsewhere", elsewhere)
	default:
		m.fact("At "+location, here)
		if elsewhere != "" {
			m.fact("Elsewhere", elsewhere)
		}
	}
	for _, list := range [][]detail{todo.settings, todo.looms} {
		for i := range list {
			m.html("<div><dt>")
			m.text(list[i].Word)
			m.small(list[i].Builds)
			m.html("</dt><dd>")
			m.made(list[i].What)
			m.html("</dd></div>")
		}
	}
	m.html("</dl>")
}

// fact is a word and what it is.
func (m *markup) fact(word, what string) {
	m.html("<div><dt>")
	m.text(word)
	m.html("</dt><dd><strong>")
	m.text(what)
	m.html("</strong></dd></div>")
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
	one := detail{Word: "Set"}
	switch {
	case b.Work == standin.Fixed:
		one.Short = "nothing to set"
		m.html("Nothing to configure.")
	case b.Work == standin.AsPreset:
		one.Short = "supplied set"
		m.html("Supplied set for this model; no code to enter.")
	case len(b.Code) == 0:
		one.Short = "set by its procedure"
		m.text("Configure it by its procedure" + quotedName(b.Procedure) + "; family " + b.Family + " has no code.")
	default:
		one.Word = enter
		m.keys(b.Code)
	}
	one.What = m.done()
	return one
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

// differing is how a board differs over the builds, empty where it does not, or
// where what is to be done shows it already.
func differing(c *standin.Candidate) string {
	groups := c.Groups()
	if c.Verdict != standin.Depends {
		return ""
	}
	var said []string
	alike := true
	for _, g := range groups {
		said = append(said, standin.BuildNames(standin.Labels(g))+" it "+inBuild[g[0].Verdict])
		alike = alike && g[0].Verdict == groups[0][0].Verdict
	}
	if alike {
		return ""
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
