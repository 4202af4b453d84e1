package page

import (
	"context"
	"net/http"
	"net/url"

	"standin"
)

// How many models and boards are offered.
const (
	suggested = 6  // of each, while typing
	listed    = 20 // of each, as results
)

// match is a line to choose from what was typed leads to.
type match struct {
	Name string
	Kind string // what it is, as "dishwasher" or "board"
	Note string // what was recognised, or whose twin it is
	Link string
}

// findPage is what may be meant by what was typed.
type findPage struct {
	base
	Matches []match
	Note    string // what is amiss with what was typed; empty: nothing
}

// found is what may be meant by what was typed.
type found struct {
	models []standin.ModelMatch
	boards []standin.BoardMatch
}

func (p *Pages) look(ctx context.Context, typed string, most int) (f found, err error) {
	if f.boards, err = p.config.Catalogue.FindBoards(ctx, typed, most); err != nil {
		return f, err
	}
	f.models, err = p.config.Catalogue.FindModels(ctx, typed, most)
	return f, err
}

// Suggest is what may be meant by what was typed, as a page, or as a part of
// one for the script.
func (p *Pages) Suggest(w http.ResponseWriter, r *http.Request) {
	query, fault := read(r, append(findNames, "fragment"))
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	if query.Get("fragment") == "" {
		p.results(w, r, query)
		return
	}
	f, err := p.look(r.Context(), query.Get("q"), suggested)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	p.fragment(w, r, "find", "options", findPage{Matches: f.matches(query.Get("location")), Note: amiss(query.Get("q"))})
}

// find leads to the one thing that is meant by what was typed, or lists what may be.
func (p *Pages) find(w http.ResponseWriter, r *http.Request, query url.Values) {
	f, err := p.look(r.Context(), query.Get("q"), listed)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	if address := f.meant(query.Get("location")); address != "" {
		http.Redirect(w, r, address, http.StatusSeeOther)
		return
	}
	p.list(w, r, query, f)
}

// results lists what may be meant, even where it is one thing.
func (p *Pages) results(w http.ResponseWriter, r *http.Request, query url.Values) {
	f, err := p.look(r.Context(), query.Get("q"), listed)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	p.list(w, r, query, f)
}

func (p *Pages) list(w http.ResponseWriter, r *http.Request, query url.Values, f found) {
	page := findPage{base: p.base(query.Get("q"), query.Get("location"))}
	page.Typed, page.Focus = query.Get("q"), true
	page.Matches, page.Note = f.matches(page.Location), amiss(page.Typed)
	status := http.StatusOK
	if len(page.Matches) == 0 {
		status = http.StatusNotFound
	}
	p.show(w, r, status, "find", page)
}

// meant is the address of the one thing that can be meant: a board whose number
// it is, or a model that is written so. Empty where it is neither, or both.
func (f *found) meant(location string) string {
	addresses := map[string]bool{}
	for _, b := range f.boards {
		if b.Exact {
			addresses[boardLink(b.PartNumber, location)] = true // of an adaptor too
		}
	}
	for _, m := range f.models {
		if m.Nearness == 1 {
			addresses[modelLink(m.ModelKey, location)] = true
		}
	}
	if len(addresses) != 1 {
		return ""
	}
	for address := range addresses {
		return address
	}
	return ""
}

// matches are lines to choose from: exact boards, then models, then other boards.
func (f *found) matches(location string) []match {
	var exact, begun, models []match
	for _, b := range f.boards {
		m := match{Name: b.PartNumber, Kind: "board", Note: b.Title, Link: boardLink(b.PartNumber, location)}
		if b.Adaptor {
			m.Kind = "adaptor"
		}
		if b.By != standin.ByPartNumber {
			m.Note = string(b.By) + " " + b.Number
		}
		if b.Exact {
			exact = append(exact, m)
		} else {
			begun = append(begun, m)
		}
	}
	for _, m := range f.models {
		line := match{Name: m.ModelKey.String(), Kind: m.Kind, Link: modelLink(m.ModelKey, location)}
		if line.Kind == "" {
			line.Kind = "model"
		}
		if m.TwinOf != nil {
			line.Note = "the same appliance as " + m.TwinOf.String()
		}
		models = append(models, line)
	}
	return append(append(exact, models...), begun...)
}

// amiss says what is wrong with digits that would be a GTIN.
func amiss(typed string) string {
	if !standin.LooksLikeGTIN(typed) || standin.IsGTIN(typed) {
		return ""
	}
	last := len(typed) - 1
	return "As a GTIN this is misread: its check digit is " + typed[last:] + ", and the other digits give " +
		string(standin.CheckDigit(typed[:last])) + ". Scan it again or type it anew."
}
