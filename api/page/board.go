package page

import (
	"cmp"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// modelsShown is how many models a page of a board has.
const modelsShown = 24

// boardPage is all that is recorded of one board.
type boardPage struct {
	base
	Name            string // part number
	About           string
	Family          string
	UsedLink        string // where a used board of the family is read
	GTIN            string
	Stops           []string // revisions that must not be supplied, and why
	Here, Elsewhere []string // stock
	Shelf           string   // where it is held or sold; empty: nowhere
	ReadLabel       bool     // stock whose revision must be read off the label
	Markings        []string
	Links           []supersession
	Revisions       []revision
	Models          []boardModel
	More            string // address of further models; empty: there are none
}

// supersession is one replacement, with the address of the other board.
type supersession struct {
	Old, New, OldLink, NewLink, About string
}

// revision is one revision with what a counter wants to know of it.
type revision struct {
	Name, Made, Supply, Options, Layout, Ratings, Stop, Stock string
}

// boardModel is a model that the board is looked at for, and whether it fits.
type boardModel struct {
	Name    string
	Link    string
	Verdict verdict
	Which   string // the revisions of which that holds
}

// Board is one board: where it fits, what it supersedes, its revisions and stock;
// or one adaptor.
func (p *Pages) Board(w http.ResponseWriter, r *http.Request) {
	query, fault := read(r, []string{"part_number", "location", "after_brand", "after_model", "after_variant"})
	if fault == nil && query.Get("part_number") == "" {
		fault = bad("part_number", "no part number is given; give the one the board is ordered by")
	}
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	record, err := p.config.Catalogue.BoardOf(r.Context(), query.Get("part_number"))
	if standin.CodeOf(err) == standin.CodeNotFound {
		if adaptor, none := p.config.Catalogue.AdaptorOf(r.Context(), query.Get("part_number")); none == nil {
			page := p.adaptorPage(adaptor, query.Get("location"))
			page.Places = p.places(r, page.Location)
			p.show(w, r, http.StatusOK, "adaptor", page)
			return
		}
	}
	if err != nil {
		p.fault(w, r, err)
		return
	}
	page := p.boardPage(record, query.Get("location"))
	if err := p.fitModels(r, page, query); err != nil {
		p.fault(w, r, err)
		return
	}
	page.Places = p.places(r, page.Location)
	if p.config.Shop != nil && len(record.Stock) > 0 {
		page.Shelf = shelfLink(record.PartNumber, "", page.Location)
	}
	p.show(w, r, http.StatusOK, "board", page)
}

func (p *Pages) boardPage(record *standin.BoardRecord, location string) *boardPage {
	page := &boardPage{base: p.bare(record.PartNumber, location), Name: record.PartNumber, About: record.Title, Family: record.Family,
		UsedLink: identifyLink(record.Family), GTIN: record.GTIN}
	for i := range record.Stock {
		page.addStock(&record.Stock[i])
	}
	for _, m := range record.Markings {
		said := m.Marking
		if m.Revision != "" {
			said += " (revision " + m.Revision + ")"
		}
		page.Markings = append(page.Markings, said+noted(m.Note))
	}
	for _, s := range record.Supersessions {
		page.Links = append(page.Links, supersessionOf(&s, location))
	}
	for i := range record.Revisions {
		one := revisionOf(&record.Revisions[i], record.Stock)
		page.Revisions = append(page.Revisions, one)
		if one.Stop != "" {
			page.Stops = append(page.Stops, standin.Sentence(one.Name+" must not be supplied: "+one.Stop))
		}
	}
	return page
}

func (page *boardPage) addStock(s *standin.Stock) {
	if s.Free == 0 {
		return
	}
	said := strconv.Itoa(s.Free) + " " + s.Condition + ", "
	if s.Revision == "" {
		page.ReadLabel = true
		said += "revision not known"
	} else {
		said += "revision " + s.Revision
	}
	if s.Location == page.Location {
		page.Here = append(page.Here, said)
	} else {
		page.Elsewhere = append(page.Elsewhere, s.Location+" "+said)
	}
}

// fitModels asks for the models the board is looked at for, all at once, and
// whether it fits each.
func (p *Pages) fitModels(r *http.Request, page *boardPage, query url.Values) error {
	after := standin.ModelKey{Brand: query.Get("after_brand"), Model: query.Get("after_model"), Variant: query.Get("after_variant")}
	keys, err := p.config.Catalogue.ModelsOfBoard(r.Context(), page.Name, after, modelsShown+1)
	if err != nil {
		return err
	}
	if len(keys) > modelsShown {
		keys = keys[:modelsShown]
		last := keys[modelsShown-1]
		page.More = link("/board", "part_number", page.Name, "location", page.Location,
			"after_brand", last.Brand, "after_model", last.Model, "after_variant", last.Variant)
	}
	machines := make([]standin.Machine, len(keys))
	for i, key := range keys {
		machines[i] = standin.Machine{ModelKey: key, Location: page.Location}
	}
	results, err := standin.Ask(r.Context(), p.config.Catalogue, machines)
	if err != nil {
		return err
	}
	for i := range results {
		if a := results[i].Answer; a != nil { // a model removed in between is left out
			page.Models = append(page.Models, boardModelOf(a, page.Name, modelLink(keys[i], page.Location)))
		}
	}
	return nil
}

// boardModelOf is the best verdict of the board's revisions for a model.
func boardModelOf(a *standin.Answer, part, address string) boardModel {
	m := boardModel{Name: a.Model.ModelKey.String(), Link: address, Verdict: verdictOf(standin.No)}
	best := standin.No
	var which []string
	for i := range a.Candidates {
		c := &a.Candidates[i]
		if c.PartNumber != part || len(which) > 0 && c.Verdict > best {
			continue
		}
		best = c.Verdict // candidates come best first
		which = append(which, c.Revision)
	}
	m.Verdict = verdictOf(best)
	if best != standin.No && !slices.Contains(which, "") {
		m.Which = "revision " + which[0]
		if len(which) > 1 {
			m.Which = "revisions " + standin.AndList(which)
		}
	}
	return m
}

func stockLines(stock []standin.Stock) []standin.StockLine {
	lines := make([]standin.StockLine, len(stock))
	for i, s := range stock {
		lines[i] = standin.StockLine{Location: s.Location, Condition: s.Condition, Free: s.Free, RevisionKnown: s.Revision != ""}
	}
	return lines
}

func supersessionOf(s *standin.Supersession, location string) supersession {
	var about []string
	if from, ok := s.From.Get(); ok {
		about = append(about, "from "+from.String())
	}
	if s.TwoWay {
		about = append(about, "either serves for the other")
	} else {
		about = append(about, "the new serves for the old, not the old for the new")
	}
	if s.Note != "" {
		about = append(about, s.Note)
	}
	return supersession{s.Old, s.New, boardLink(s.Old, location), boardLink(s.New, location), strings.Join(about, "; ")}
}

func revisionOf(r *standin.Revision, stock []standin.Stock) revision {
	out := revision{
		Name: cmp.Or(revisionText(r.Label, r.Issue), "the only revision"), Stop: r.Stop, Options: standin.Recorded(r.Options),
		Supply: supplyText(r), Layout: layoutText(r.Layout), Made: "not recorded", Ratings: "not recorded",
	}
	if r.Made != (standin.Span{}) {
		out.Made = r.Made.String()
	}
	var rated []string
	for _, circuit := range slices.Sorted(maps.Keys(r.Ratings)) {
		amps, ok := r.Ratings[circuit].Get()
		if !ok {
			rated = append(rated, circuit+" not recorded")
			continue
		}
		rated = append(rated, circuit+" "+standin.Figure(amps)+" A")
	}
	if len(rated) > 0 {
		out.Ratings = strings.Join(rated, ", ")
	}
	own := slices.DeleteFunc(slices.Clone(stock), func(s standin.Stock) bool { return s.Revision != r.Label || s.Free == 0 })
	_, out.Stock, _ = shelves(stockLines(own), "", "")
	out.Stock = cmp.Or(out.Stock, "none")
	return out
}

func supplyText(r *standin.Revision) string {
	low, lowKnown := r.VoltsMin.Get()
	high, highKnown := r.VoltsMax.Get()
	volts := "volts not recorded"
	switch {
	case lowKnown && highKnown:
		volts = standin.Figure(low) + " to " + standin.Figure(high) + " V"
	case lowKnown:
		volts = "from " + standin.Figure(low) + " V"
	case highKnown:
		volts = "up to " + standin.Figure(high) + " V"
	}
	hertz, ok := r.Hertz.Get()
	if !ok {
		return volts + ", hertz not recorded"
	}
	var all []string
	for _, h := range hertz {
		all = append(all, standin.Figure(h))
	}
	return volts + ", " + strings.Join(all, " or ") + " Hz"
}

// layoutText are the headers of a layout with their ways.
func layoutText(l *standin.Layout) string {
	if l == nil {
		return "not recorded"
	}
	var all []string
	for _, c := range l.Connectors {
		ways := "ways not recorded"
		if n, ok := c.Ways.Get(); ok {
			ways = count(n, "way", "ways")
		}
		all = append(all, c.Marking+" "+ways)
	}
	return strings.Join(all, ", ")
}

// noted is a remark after a dash.
func noted(text string) string {
	if text == "" {
		return ""
	}
	return " — " + text
}
