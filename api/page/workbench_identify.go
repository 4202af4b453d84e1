package page

import (
	"html/template"
	"net/http"
	"strings"

	"standin"
	"standin/api/draw"
)

// Of the page for a used board.
const (
	familiesShown = 100 // to choose from on one page
	settingsShown = 12  // settings shown for a reading
	nearestTold   = 3   // of them before the rest is put away, where none is as read
	modelsNamed   = 6   // models of a setting before the rest is counted
)

// identifyPage shows what a used board may be set for, from a reading alone.
type identifyPage struct {
	base
	Families []stageLink // to choose from; empty: one was chosen
	More     string      // further families; empty: these are all
	Family   string
	About    string
	Steps    []string // how it is read back
	Fields   []field
	Toggles  []toggle
	None     string        // why there is nothing to read; empty: there is
	Text     string        // of the result; empty: nothing was read yet
	Settings []setting     // as read; where none is, the nearest
	Near     []setting     // not as read
	Map      template.HTML // which point shows which place of the code; empty: nothing is known
	Anew     string        // the reading anew
	Others   string        // another family
}

// setting is what a board may be set for.
type setting struct {
	Exact   bool
	Keys    []string
	Models  string
	Differs string // the points at which it is not as read
}

// Identify takes what is read back from a used board and shows what it may be set for.
func (p *Pages) Identify(w http.ResponseWriter, r *http.Request) {
	query, seen, fault := readPoints(r, []string{"family", "after", "location"})
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	page := &identifyPage{base: p.base(r, "What is this board set for?", query.Get("location")), Others: link("/identify", "location", query.Get("location"))}
	var err error
	if name := query.Get("family"); name == "" {
		err = p.chooseFamily(r, page, query.Get("after"))
	} else {
		err = p.identify(r, page, name, seen)
	}
	if err != nil {
		p.fault(w, r, err)
		return
	}
	p.show(w, r, http.StatusOK, "identify", page)
}

func (p *Pages) chooseFamily(r *http.Request, page *identifyPage, after string) error {
	families, err := p.config.Catalogue.ListFamilies(r.Context(), after, familiesShown+1)
	if err != nil {
		return err
	}
	if len(families) > familiesShown {
		families = families[:familiesShown]
		page.More = link("/identify", "location", page.Location, "after", families[familiesShown-1].Name)
	}
	for _, f := range families {
		page.Families = append(page.Families, stageLink{Name: f.Name, About: f.Title, Link: link("/identify", "location", page.Location, "family", f.Name)})
	}
	if len(families) == 0 {
		page.None = "No families are recorded."
	}
	return nil
}

func (p *Pages) identify(r *http.Request, page *identifyPage, name string, seen map[int]byte) error {
	family, err := p.config.Catalogue.PreparedFamily(r.Context(), name)
	if err != nil {
		return err
	}
	page.Family, page.About = family.Name, family.Title
	page.Fields = fieldsOf("family", family.Name, "location", page.Location)
	page.Anew = link("/identify", "location", page.Location, "family", family.Name)
	if len(family.Readback) == 0 {
		page.None = "Boards of this family have nothing to read back."
		return nil
	}
	page.Steps = readbackSteps(family.Steps)
	if d := (draw.CodeMap{Points: family.CodeMap().Points, Places: family.CodeLength}).Draw(pageRoom); d != nil {
		page.Map = drawn(d)
	}
	reading, fault := readingOf(seen, &family.Family)
	if fault != nil {
		return fault
	}
	page.Toggles = togglesOf(&family.Family, reading)
	if reading.Read() == 0 {
		if reading != "" {
			page.Text = "No point was read: set at least one to what it shows."
		}
		return nil
	}
	found, err := standin.IdentifyReading(r.Context(), p.config.Catalogue,
		standin.IdentifyAsked{Family: name, Reading: string(reading), Limit: settingsShown})
	if err != nil {
		return err
	}
	page.Text = found.Text
	for i := range found.Settings {
		one := settingOf(&found.Settings[i])
		if one.Exact || found.Exact == 0 && len(page.Settings) < nearestTold {
			page.Settings = append(page.Settings, one)
		} else {
			page.Near = append(page.Near, one)
		}
	}
	return nil
}

// readbackSteps say how a family is read back.
func readbackSteps(procedure *standin.Procedure) []string {
	var steps []string
	if procedure == nil {
		return nil
	}
	for _, s := range procedure.Steps {
		if s.Phase == standin.PhaseReadback {
			steps = append(steps, strings.TrimSpace(standin.Sentence(s.Do)+" "+standin.Sentence(s.Expect)))
		}
	}
	return steps
}

func settingOf(found *standin.IdentifiedIn) setting {
	var names []string
	models := found.FirstModels()
	for _, model := range models[:min(modelsNamed, len(models))] {
		names = append(names, model.String())
	}
	if more := len(models) - len(names); more > 0 {
		names = append(names, count(more, "more model", "more models"))
	}
	return setting{Exact: found.Exact, Keys: found.Code, Models: standin.AndList(names), Differs: standin.AndList(found.Differs)}
}
