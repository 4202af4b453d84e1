package page

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"unicode"

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
	More    string // that there are more than fit; empty: there are not
	AllLink string // to more of them
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
	typed, location := query.Get("q"), query.Get("location")
	f, err := p.look(r.Context(), typed, listed)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	page := findPage{Note: amiss(typed), AllLink: link("/suggest", "q", typed, "location", location)}
	shown := f.most(suggested)
	page.Matches, page.More = shown.matches(location), more(f.count()-shown.count(), f.full(listed))
	p.fragment(w, r, "find", "options", page)
}

// most is at most so many models, and so many boards.
func (f *found) most(n int) *found {
	return &found{models: f.models[:min(n, len(f.models))], boards: f.boards[:min(n, len(f.boards))]}
}

func (f *found) count() int { return len(f.models) + len(f.boards) }

// full reports whether there may be more than was asked for.
func (f *found) full(asked int) bool { return len(f.models) == asked || len(f.boards) == asked }

// more says how many there are beyond what is shown; empty: none.
func more(n int, beyond bool) string {
	switch {
	case n > 0 && beyond:
		return "over " + strconv.Itoa(n) + " more…"
	case n > 0:
		return strconv.Itoa(n) + " more…"
	}
	return ""
}

// find leads to the one thing that is meant by what was typed, or lists what may be.
func (p *Pages) find(w http.ResponseWriter, r *http.Request, query url.Values) {
	f, err := p.look(r.Context(), query.Get("q"), listed+1)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	if address := f.meant(query.Get("q"), query.Get("location")); address != "" {
		http.Redirect(w, r, address, http.StatusSeeOther)
		return
	}
	p.list(w, r, query, f)
}

// results lists what may be meant, even where it is one thing.
func (p *Pages) results(w http.ResponseWriter, r *http.Request, query url.Values) {
	f, err := p.look(r.Context(), query.Get("q"), listed+1)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	p.list(w, r, query, f)
}

func (p *Pages) list(w http.ResponseWriter, r *http.Request, query url.Values, f found) {
	page := findPage{base: p.base(r, query.Get("q"), query.Get("location"))}
	page.Typed, page.Note = query.Get("q"), amiss(query.Get("q"))
	page.Matches = f.most(listed).matches(page.Location)
	if f.full(listed + 1) {
		page.More = "There are more: type further letters."
	}
	page.Focus = len(page.Matches) == 0 // else the first line has it
	status := http.StatusOK
	if len(page.Matches) == 0 {
		status = http.StatusNotFound
	}
	p.show(w, r, status, "find", page)
}

// meant is the address of the one thing that can be meant: a board whose number
// it is, a model that is written so, or the only thing there is that begins so.
// Empty where it is none of these, or several. What is only like it is never
// taken for it: a person has to see that.
func (f *found) meant(typed, location string) string {
	exact, begun := map[string]bool{}, map[string]bool{}
	for _, b := range f.boards {
		address := boardLink(b.PartNumber, location) // of an adaptor too
		begun[address] = true
		if b.Exact {
			exact[address] = true
		}
	}
	for _, m := range f.models {
		address := modelLink(m.ModelKey, location)
		begun[address] = begins(m.ModelKey, typed)
		if m.Nearness == 1 {
			exact[address] = true
		}
	}
	if only := sole(exact); only != "" || len(exact) > 1 {
		return only
	}
	if only := sole(begun); begun[only] {
		return only
	}
	return ""
}

// sole is the one address there is, empty where there is none or are several.
func sole(addresses map[string]bool) string {
	if len(addresses) != 1 {
		return ""
	}
	for address := range addresses {
		return address
	}
	return ""
}

// begins reports whether a model begins as it was typed, with its brand or
// without, whatever the case, spaces and punctuation.
func begins(key standin.ModelKey, typed string) bool {
	typed = plain(typed)
	return typed != "" && (strings.HasPrefix(plain(key.Model+key.Variant), typed) || strings.HasPrefix(plain(key.Brand+key.Model+key.Variant), typed))
}

// plain is text as capitals and digits alone.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, text)
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
