package page

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"

	"standin"
	"standin/api/draw"
)

// fitsPage is the answer for a machine.
type fitsPage struct {
	base
	Timeline   template.HTML // the builds in order of time; empty: there is nothing to draw
	Unsettled  bool          // whether that is to be seen at once
	Machine    standin.Machine
	Name       string // of the model
	About      string // kind, supply and years
	TwinOf     string
	Given      []given // evidence there is
	NotUsed    []string
	Summary    string // where there is no board to take
	Against    string // why the evidence contradicts itself; empty: it does not
	Hint       string // what would resolve it; empty: nothing is recorded
	Drop       []given
	Question   *question  // that settles most; nil: none
	Further    []question // others that would settle it too
	Builds     []string
	Best       template.HTML   // the board to take; empty: none can stand in
	Others     others          // further boards that can
	BareHead   string          // over those of which there is none
	Misfits    []template.HTML // boards that do not fit, and why
	MisfitHead string
	AllLink    string      // to those that do not fit; empty: they are there, or there are none
	Loads      []loadCheck // to check before a board is fitted
	Limits     []string    // where the values to expect come from
	Cautions   []string
	Sources    string
	Form       evidence
}

// nearMisses is how many boards are shown where nothing fits.
const nearMisses = 3

// Fits is the answer for a machine: the boards that can stand in, best first.
func (p *Pages) Fits(w http.ResponseWriter, r *http.Request) {
	query, fault := readTicks(r, append(slices.Clone(machineNames), "all"))
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	all, fault := readAll(query.Get("all"))
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	m, fault := readMachine(query)
	if fault != nil {
		p.evidenceFault(w, r, query, fault)
		return
	}
	results, err := p.ask(r.Context(), m)
	switch {
	case err != nil:
		p.fault(w, r, err)
	case results[0].Err != nil:
		p.unknownModel(w, r, m, results[0].Err)
	default:
		page := p.fitsPage(results[0].Answer, all)
		page.Places = p.places(r, m.Location)
		p.show(w, r, http.StatusOK, "fits", page)
	}
}

func readAll(text string) (bool, *standin.Error) {
	switch text {
	case "", "false":
		return false, nil
	case "true":
		return true, nil
	}
	return false, bad("all", "all is %q; it may be true or false", shortened(text))
}

// fitsPage puts an answer as people read it.
func (p *Pages) fitsPage(a *standin.Answer, all bool) *fitsPage {
	m := &a.Machine
	key := a.Model.ModelKey
	page := &fitsPage{Machine: *m, Loads: loadChecks(a), Limits: limits(a), Cautions: cautions(a)}
	if a.TwinOf != nil {
		key = m.ModelKey
		page.TwinOf = a.TwinOf.String()
	}
	page.base = p.bare(key.String(), m.Location)
	page.Name, page.About = key.String(), about(&a.Model)
	page.Given = givenOf(m)
	page.Form = formOf(m, all)
	page.Form.addTicks(a)
	for _, n := range a.NotUsed {
		page.NotUsed = append(page.NotUsed, "Not used: "+standin.EvidenceName(n.Evidence)+". "+standin.Sentence(n.Reason))
	}
	page.Summary = summary(a)
	if d := (draw.Timeline{Builds: a.Recorded, Possible: a.Builds, Made: m.Made}).Draw(pageRoom); d != nil {
		page.Timeline, page.Unsettled = drawn(d), len(a.Builds) != 1
	}
	if c := a.Contradiction; c != nil {
		page.Against, page.Hint = standin.Sentence(c.Reason), standin.Sentence(c.Hint)
		page.Drop = slices.DeleteFunc(givenOf(m), func(g given) bool { return !slices.Contains(c.Evidence, g.name) })
		return page
	}
	if questions := questionsOf(a, fitsLink); len(questions) > 0 {
		page.Question, page.Further = &questions[0], questions[1:]
	}
	for i := range a.Builds {
		page.Builds = append(page.Builds, buildText(&a.Builds[i]))
	}
	standing := a.Standing()
	if standing > 0 {
		first := setUp(a, &a.Candidates[0])
		page.Best = p.best(a, &a.Candidates[0], first)
		page.Others = p.othersOf(a, standing, first)
		page.BareHead = count(len(page.Others.Bare), "more that is", "more that are") + " not in stock"
	}
	page.addMisfits(a, standing, all)
	page.Sources = sources(a, standing)
	return page
}

// addMisfits shows the boards that do not fit: all where they are asked for, the
// nearest where nothing fits, else a link to them.
func (page *fitsPage) addMisfits(a *standin.Answer, standing int, all bool) {
	misfits := a.Candidates[standing:]
	if len(misfits) == 0 {
		return
	}
	if !all {
		page.AllLink = link("/fits", append(machinePairs(&a.Machine), "all", "true")...)
	}
	switch {
	case all:
		page.MisfitHead = "Boards that do not fit, and why"
	case standing > 0:
		page.MisfitHead = "And " + count(len(misfits), "board that does not fit", "boards that do not fit")
		return
	default:
		page.MisfitHead = "The closest boards, and why they do not fit"
		misfits = closest(misfits)
		if len(misfits) <= nearMisses {
			page.AllLink = ""
		}
		misfits = misfits[:min(nearMisses, len(misfits))]
	}
	for i := range misfits {
		page.Misfits = append(page.Misfits, misfit(a, &misfits[i]))
	}
}

// closest orders boards that do not fit by how much stands against each.
func closest(misfits []standin.Candidate) []standin.Candidate {
	ordered := slices.Clone(misfits)
	slices.SortStableFunc(ordered, func(x, y standin.Candidate) int {
		return len(x.Reasons(standin.Fail)) - len(y.Reasons(standin.Fail))
	})
	return ordered
}

// about is the kind of a model, its supply and when it was made.
func about(m *standin.Model) string {
	var said []string
	if m.Kind != "" {
		said = append(said, m.Kind)
	}
	if volts := standin.VoltsText(m.Volts); volts != "" {
		said = append(said, volts+" V")
	}
	if hertz := standin.HertzText(m.Hertz); hertz != "" {
		said = append(said, hertz+" Hz")
	}
	if m.Made != (standin.Span{}) {
		said = append(said, "made "+m.Made.String())
	}
	return strings.Join(said, " · ")
}

// summary says that there is no board to take; empty where there is one.
func summary(a *standin.Answer) string {
	switch {
	case a.Contradiction != nil:
		return "What is known of this machine contradicts itself, so no board is named."
	case a.Standing() == 0:
		return "Nothing in the catalogue can stand in for this machine."
	}
	return ""
}

// sources are the documents that the answer rests on.
func sources(a *standin.Answer, standing int) string {
	var named []string
	for i := range a.Builds {
		named = append(named, a.Builds[i].Source)
	}
	for i := range a.Candidates[:standing] {
		for j := range a.Candidates[i].Builds {
			named = append(named, a.Candidates[i].Builds[j].Source)
		}
	}
	slices.Sort(named)
	named = slices.DeleteFunc(slices.Compact(named), func(s string) bool { return s == "" })
	said := fmt.Sprintf("Catalogue version %d", a.CatalogueVersion)
	if len(named) > 0 {
		said += "; sources: " + standin.AndList(named)
	}
	return said + "."
}
