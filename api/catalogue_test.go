package api_test

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"standin"
)

// catalogue is a small one in memory: a model with a cut-in at which one wide
// plug was split, a twin of it, a model nothing is recorded of, a family of two
// boards, one with a code map and a fixed board. testdata/bundle says the same.
type catalogue struct {
	dossiers []*standin.Dossier // by id, from 1
	boards   []standin.BoardRecord
	families []standin.FamilyRecord
	adaptors []standin.AdaptorRecord
	state    standin.State
	failure  *standin.Error // what every call fails with; nil: none
}

var (
	known = standin.ModelKey{Brand: "Wexcombe", Model: "DW 410"}
	twin  = standin.ModelKey{Brand: "Harrowden", Model: "HD 41", Variant: "UK"}
	bare  = standin.ModelKey{Brand: "Wexcombe", Model: "DW 500"}
)

func newCatalogue() *catalogue {
	narrow := &standin.Layout{Name: "three plugs", Connectors: []standin.Connector{
		plug("CN1", 6, "heater", "motor", "pump", "valve", "door", "neutral"), plug("CN2", 2, "level", "level-return"), plug("CN3", 2, "ntc", "ntc-return"),
	}}
	wide := &standin.Layout{Name: "one plug", Connectors: []standin.Connector{
		plug("CN1", 10, "heater", "motor", "pump", "valve", "door", "neutral", "level", "level-return", "ntc", "ntc-return"),
	}}
	steps := &standin.Procedure{Name: "curlew entry", Steps: []standin.Step{
		{Phase: standin.PhaseEnter, Step: 1, Do: "Hold START", HoldSeconds: standin.Known(5.0), Expect: "all lamps lit"},
		{Phase: standin.PhaseReadback, Step: 1, Do: "Press START", Expect: "the pattern"},
	}}
	curlew := standin.Family{
		Name: "Curlew", Title: "Dishwasher control", Selector: []string{"A", "B", "C", "D"}, CodeLength: 3,
		Readback: []string{"L1", "L2", "L3", "L4"}, Procedure: "curlew entry",
	}
	supply := func(label string, issue int, layout *standin.Layout) standin.Revision {
		return standin.Revision{
			Label: label, Issue: standin.Known(issue), Layout: layout, Options: standin.Known[[]string](nil),
			VoltsMin: standin.Known(220.0), VoltsMax: standin.Known(240.0), Hertz: standin.Known([]float64{50}),
			Ratings: map[string]standin.Maybe[float64]{"heater": standin.Known(16.0)},
		}
	}
	first := standin.Board{PartNumber: "70-1001", Family: "Curlew", Title: "Curlew, wide plug", Revisions: []standin.Revision{supply("A", 1, wide)}}
	second := standin.Board{PartNumber: "70-1002", Family: "Curlew", Title: "Curlew, three plugs", Revisions: []standin.Revision{supply("A", 2, narrow)}}
	fixed := standin.Board{PartNumber: "70/2001 B", Title: "Fixed board", Revisions: []standin.Revision{{Label: "1", Stop: "recalled"}}}
	link := standin.Supersession{Old: "70-1001", New: "70-1002", From: standin.Known(standin.NewDate(2001, 3, 1)), Note: "loom needed"}
	stock := []standin.Stock{{Location: "front", PartNumber: "70-1002", Revision: "A", Condition: "new", Quantity: 2, Free: 2}}
	configuration := standin.Configuration{Family: "Curlew", Model: known, Code: []string{"A", "B", "C"}, Pattern: "10-1", Source: "bulletin 7"}

	dossier := standin.Dossier{
		CatalogueVersion: 1, Asked: known,
		Model: standin.Model{ID: 1, ModelKey: known, Kind: "dishwasher", Made: standin.Days(standin.NewDate(2000, 1, 1), standin.NewDate(2004, 12, 31)), Volts: standin.Known([]standin.VoltRange{{Low: 230, High: 230}}), Hertz: standin.Known([]float64{50})},
		Builds: []standin.Build{
			{Label: "b1", Made: standin.Days(standin.NewDate(2000, 1, 1), standin.NewDate(2001, 2, 28)), PartNumber: "70-1001", Revision: "A", Layout: wide, Needs: standin.Known([]string{}), Source: "bulletin 7"},
			{Label: "b2", Made: standin.Days(standin.NewDate(2001, 3, 1), standin.NewDate(2004, 12, 31)), PartNumber: "70-1002", Revision: "A", Layout: narrow, Needs: standin.Known([]string{}), Source: "bulletin 7"},
		},
		Loads:          []standin.Load{{Circuit: "heater", Watts: standin.Known(2000.0), Element: standin.ElementHeating}},
		Boards:         []standin.Board{first, second},
		Families:       map[string]*standin.Family{"Curlew": &curlew},
		Procedures:     map[string]*standin.Procedure{"curlew entry": steps},
		Configurations: []standin.Configuration{configuration},
		Supersessions:  []standin.Supersession{link},
		Stock:          stock,
	}
	asTwin := dossier
	asTwin.Asked = twin
	empty := standin.Dossier{CatalogueVersion: 1, Asked: bare, Model: standin.Model{ID: 3, ModelKey: bare}}
	return &catalogue{
		dossiers: []*standin.Dossier{&dossier, &asTwin, &empty},
		boards: []standin.BoardRecord{
			{Board: first, Supersessions: []standin.Supersession{link}, Markings: []standin.Marking{{Marking: "PCB 88", PartNumber: "70-1001", Revision: "A"}}},
			{Board: second, Supersessions: []standin.Supersession{link}, Stock: stock},
			{Board: fixed},
		},
		adaptors: []standin.AdaptorRecord{{
			Adaptor: standin.Adaptor{PartNumber: "LM 5", Title: "Loom of another machine",
				Takes: &standin.Layout{Name: "lamp plug", Connectors: []standin.Connector{plug("P", 3, "lamp", "lamp-return", ".")}},
				Gives: &standin.Layout{Name: "lamp end", Connectors: []standin.Connector{plug("E", 2, "lamp", "lamp-return")}}},
			Stock: []standin.Stock{{Location: "front", PartNumber: "LM 5", Condition: "used", Quantity: 4, Free: 4}},
		}},
		families: []standin.FamilyRecord{
			{Family: curlew, Steps: steps, Boards: []string{"70-1001", "70-1002"}, Configurations: []standin.Configuration{configuration}},
			{Family: standin.Family{Name: "Dunlin", Title: "Dryer control"}},
			twoPlaces(),
		},
		state: standin.State{Catalogue: 1, Stock: 1},
	}
}

// twoPlaces is a family whose first two points show the first place of the code
// as a binary number, and whose others show the second.
func twoPlaces() standin.FamilyRecord {
	f := standin.FamilyRecord{Family: standin.Family{
		Name: "Grebe", Title: "Two places", Selector: []string{"A", "B", "C", "D"}, CodeLength: 2, Readback: []string{"K1", "K2", "K3", "K4"},
	}}
	for i, first := range f.Selector {
		for j, second := range f.Selector {
			f.Configurations = append(f.Configurations, standin.Configuration{
				Family: "Grebe", Model: standin.ModelKey{Brand: "Ouse", Model: "W" + first + second},
				Code: []string{first, second}, Pattern: standin.Pattern(fmt.Sprintf("%02b%02b", i, j)), Source: "chart 3",
			})
		}
	}
	return f
}

func plug(marking string, ways int, circuits ...string) standin.Connector {
	return standin.Connector{
		Marking: marking, Ways: standin.Known(ways), PitchMM: standin.Known(5.0), Key: standin.Known("a"), Circuits: standin.Known(circuits),
	}
}

// fail is the failure as an error, nil where there is none.
func (c *catalogue) fail() error {
	if c.failure == nil {
		return nil
	}
	return c.failure
}

func (c *catalogue) Dossiers(_ context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	found := make([]*standin.Dossier, len(machines))
	for i, m := range machines {
		for _, d := range c.dossiers {
			if d.Asked == m.ModelKey {
				current := *d
				current.CatalogueVersion, current.State = c.state.Catalogue, c.state
				found[i] = &current
			}
		}
	}
	return found, c.fail()
}

func (c *catalogue) DossierOf(_ context.Context, id int64) (*standin.Dossier, error) {
	if id > int64(len(c.dossiers)) {
		return nil, missing("model", "id")
	}
	return c.dossiers[id-1], c.fail()
}

// FindModels matches by brand alone; finding is the store's business.
func (c *catalogue) FindModelsOfEach(ctx context.Context, typed []string, limit int) ([][]standin.ModelMatch, error) {
	found := make([][]standin.ModelMatch, len(typed))
	for i, text := range typed {
		var err error
		if found[i], err = c.FindModels(ctx, text, limit); err != nil {
			return nil, err
		}
	}
	return found, nil
}

func (c *catalogue) FindModels(_ context.Context, typed string, limit int) ([]standin.ModelMatch, error) {
	var found []standin.ModelMatch
	for i, d := range c.dossiers {
		if strings.HasPrefix(typed, d.Asked.Brand) && len(found) < limit {
			match := standin.ModelMatch{ID: int64(i + 1), ModelKey: d.Asked, Kind: d.Model.Kind, Nearness: 0.8}
			if d.Asked != d.Model.ModelKey {
				match.TwinOf = &d.Model.ModelKey
			}
			found = append(found, match)
		}
	}
	return found, c.fail()
}

// FindBoards matches by the part number alone.
func (c *catalogue) FindBoards(_ context.Context, typed string, limit int) ([]standin.BoardMatch, error) {
	var found []standin.BoardMatch
	for _, b := range c.boards {
		if strings.HasPrefix(b.PartNumber, typed) && len(found) < limit {
			found = append(found, standin.BoardMatch{
				PartNumber: b.PartNumber, Title: b.Title, Family: b.Family,
				By: standin.ByPartNumber, Number: b.PartNumber, Exact: b.PartNumber == typed,
			})
		}
	}
	return found, c.fail()
}

func (c *catalogue) BoardOf(_ context.Context, partNumber string) (*standin.BoardRecord, error) {
	for _, b := range c.boards {
		if b.PartNumber == partNumber {
			return &b, c.fail()
		}
	}
	return nil, missing("board", "part_number")
}

func (c *catalogue) AdaptorOf(_ context.Context, partNumber string) (*standin.AdaptorRecord, error) {
	for _, a := range c.adaptors {
		if a.PartNumber == partNumber {
			return &a, c.fail()
		}
	}
	return nil, missing("adaptor", "part_number")
}

func (c *catalogue) ModelsOfBoard(_ context.Context, partNumber string, after standin.ModelKey, limit int) ([]standin.ModelKey, error) {
	var keys []standin.ModelKey
	for _, d := range c.dossiers {
		looksAt := slices.ContainsFunc(d.Boards, func(b standin.Board) bool { return b.PartNumber == partNumber })
		if looksAt && compareKeys(d.Model.ModelKey, after) > 0 {
			keys = append(keys, d.Model.ModelKey)
		}
	}
	slices.SortFunc(keys, compareKeys)
	keys = slices.Compact(keys)
	return keys[:min(limit, len(keys))], c.fail()
}

func compareKeys(a, b standin.ModelKey) int {
	return cmp.Or(cmp.Compare(a.Brand, b.Brand), cmp.Compare(a.Model, b.Model), cmp.Compare(a.Variant, b.Variant))
}

func (c *catalogue) ListFamilies(_ context.Context, after string, limit int) ([]standin.Family, error) {
	var families []standin.Family
	for _, f := range c.families {
		if f.Name > after && len(families) < limit {
			families = append(families, f.Family)
		}
	}
	return families, c.fail()
}

func (c *catalogue) FamilyOf(_ context.Context, name string) (*standin.FamilyRecord, error) {
	for _, f := range c.families {
		if f.Name == name {
			return &f, c.fail()
		}
	}
	return nil, missing("family", "family")
}

func (c *catalogue) PreparedFamily(ctx context.Context, name string) (*standin.PreparedFamily, error) {
	record, err := c.FamilyOf(ctx, name)
	if err != nil {
		return nil, err
	}
	return standin.PrepareFamily(*record, c.state.Catalogue), nil
}

// SettingsNear compares with every setting there is.
func (c *catalogue) SettingsNear(_ context.Context, reading standin.Reading, limit int) (*standin.NearSettings, error) {
	index, near := standin.NewPatternIndex(), &standin.NearSettings{}
	var all []standin.NearSetting
	for i := range c.families {
		f := &c.families[i].Family
		for _, s := range standin.NewTable(f, c.families[i].Configurations).Settings {
			index.Add(s.Pattern, int64(len(all)))
			all = append(all, standin.NearSetting{Setting: s, Family: f, Count: len(s.Configurations)})
		}
	}
	nearest, err := index.Nearest(reading, limit)
	if err != nil {
		return nil, err
	}
	for _, p := range nearest.Patterns {
		for _, row := range p.Rows {
			near.Settings = append(near.Settings, all[row])
		}
	}
	near.Settings = near.Settings[:min(limit, len(near.Settings))]
	near.Exact, near.Compared = nearest.Exact, nearest.Rows
	return near, c.fail()
}

func (c *catalogue) State(context.Context) (standin.State, error) { return c.state, c.fail() }

func (c *catalogue) Ready(context.Context) error { return c.fail() }

func missing(what, field string) error {
	return &standin.Error{Code: standin.CodeNotFound, Message: "no such " + what + " is recorded", Field: field}
}

// adaptors are those of the catalogue; no plug of a harness seats on them.
var adaptors = []standin.ListedAdaptor{{PartNumber: "LM 5", Title: "Loom of another machine", Takes: "lamp plug", Gives: "lamp end"}, {PartNumber: "LM-7", Title: "Loom of another range", Takes: "loom in", Gives: "loom out"}}

func (c *catalogue) ListModels(_ context.Context, f standin.ModelFilter, after standin.ModelKey, limit int) ([]standin.ListedModel, error) {
	var found []standin.ListedModel
	for i, d := range c.dossiers {
		m := standin.ListedModel{ID: int64(i + 1), ModelKey: d.Asked, Kind: d.Model.Kind}
		if d.Asked != d.Model.ModelKey {
			m.TwinOf, m.Kind = &d.Model.ModelKey, ""
		}
		configured := slices.ContainsFunc(d.Configurations, func(c standin.Configuration) bool { return c.Family == f.Family && c.Model == d.Asked })
		if compareKeys(d.Asked, after) > 0 && (f.Brand == "" || f.Brand == d.Asked.Brand) && (f.Kind == "" || f.Kind == m.Kind) && (f.Family == "" || configured) {
			found = append(found, m)
		}
	}
	for _, family := range c.families { // whose models have nothing but a configuration
		for _, configuration := range family.Configurations {
			key := configuration.Model
			if family.Name == "Grebe" && compareKeys(key, after) > 0 && (f.Brand == "" || f.Brand == key.Brand) && f.Kind == "" && (f.Family == "" || f.Family == family.Name) {
				found = append(found, standin.ListedModel{ID: 100 + int64(len(found)), ModelKey: key})
			}
		}
	}
	slices.SortFunc(found, func(a, b standin.ListedModel) int { return compareKeys(a.ModelKey, b.ModelKey) })
	return found[:min(limit, len(found))], c.fail()
}

func (c *catalogue) ModelID(_ context.Context, key standin.ModelKey) (int64, error) {
	for i, d := range c.dossiers {
		if d.Asked == key {
			return int64(i + 1), c.fail()
		}
	}
	return 0, missing("model", "id")
}

func (c *catalogue) ListBoards(_ context.Context, f standin.BoardFilter, after string, limit int) ([]standin.ListedBoard, error) {
	var found []standin.ListedBoard
	for _, b := range c.boards {
		has := strings.Contains(strings.ToLower(b.PartNumber+" "+b.Title), strings.ToLower(f.Text))
		if b.PartNumber > after && (f.Family == "" || f.Family == b.Family) && (!f.Fixed || b.Family == "") && has && len(found) < limit {
			found = append(found, standin.ListedBoard{PartNumber: b.PartNumber, Family: b.Family, Title: b.Title, GTIN: b.GTIN, Revisions: len(b.Revisions)})
		}
	}
	return found, c.fail()
}

func (c *catalogue) ListAdaptors(_ context.Context, f standin.AdaptorFilter, after string, limit int) ([]standin.ListedAdaptor, error) {
	var found []standin.ListedAdaptor
	for _, a := range adaptors {
		has := strings.Contains(strings.ToLower(a.PartNumber+" "+a.Title), strings.ToLower(f.Text))
		if a.PartNumber > after && (f.Takes == "" || f.Takes == a.Takes) && (f.Gives == "" || f.Gives == a.Gives) && has && len(found) < limit {
			found = append(found, a)
		}
	}
	return found, c.fail()
}

func (c *catalogue) Locations(context.Context) ([]string, error) { return []string{"front"}, c.fail() }
