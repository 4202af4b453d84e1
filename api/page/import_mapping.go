package page

import (
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"standin"
)

// mostMapping is how many bytes the form of a mapping may have.
const mostMapping = 2 << 20

// mappingPage shows where each column of a bundle comes from in a supplier's table.
type mappingPage struct {
	base
	ID      string
	Bundle  string
	Back    string
	Files   []mappedFile
	Unsaid  []string // headers that nothing comes from
	Mapping string
	Form    formKeys
}

// mappedFile is one file of a bundle, as a mapping fills it.
type mappedFile struct {
	File  string
	Lines []mappedLine
}

// mappedLine is one column.
type mappedLine struct {
	standin.MappingLine
	Name    string   // of its field
	Choices []string // headers it may come from; none: it is text
	Sure    string   // sure, likely or unsure; empty: it is not said
	Why     string
}

// mappingNames are the parameters of the page of a mapping.
var mappingNames = []string{"id"}

// Mapping is the page of the mapping of an upload.
func (p *Pages) Mapping(w http.ResponseWriter, r *http.Request, k Keeper) {
	query, fault := read(r, mappingNames)
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	u, err := p.config.Intake.UploadOf(r.Context(), query.Get("id"))
	if err != nil {
		p.fault(w, r, err)
		return
	}
	proposed, err := p.config.Intake.Propose(r.Context(), u.ID)
	if err != nil {
		p.formFault(w, r, err)
		return
	}
	page := mappingPage{
		base: p.bare("Mapping", ""), ID: u.ID, Bundle: u.Bundle, Back: uploadLink(u.ID), Mapping: proposed.Mapping, Form: newForm(k),
	}
	page.fill(proposed)
	w.Header().Set("Cache-Control", "no-store")
	p.show(w, r, http.StatusOK, "mapping", page)
}

// fill shows the lines of a mapping by file, and what is left of the table.
func (page *mappingPage) fill(proposed standin.Proposal) {
	used, besides := map[string]bool{}, ""
	for i, l := range proposed.Lines {
		line := mappedLine{MappingLine: l, Name: "line" + strconv.Itoa(i)}
		for _, sure := range []string{"sure", "likely", "unsure"} {
			if why, ok := strings.CutPrefix(l.Said, sure+":"); ok {
				line.Sure, line.Why = sure, strings.TrimSpace(why)
			}
		}
		if line.Sure == "" {
			line.Why = l.Said
		}
		besides += l.Text + " "
		if l.Value != "" && !l.Constant {
			used[l.Value] = true
			line.Choices = proposed.Headers
		}
		last := len(page.Files) - 1
		if last < 0 || page.Files[last].File != l.File {
			page.Files, last = append(page.Files, mappedFile{File: l.File}), last+1
		}
		page.Files[last].Lines = append(page.Files[last].Lines, line)
	}
	for _, name := range proposed.Headers {
		if !used[name] && !strings.Contains(besides, name) {
			page.Unsaid = append(page.Unsaid, name)
		}
	}
}

// Listed reports whether the value is among the choices.
func (l mappedLine) Listed() bool {
	for _, choice := range l.Choices {
		if choice == l.Value {
			return true
		}
	}
	return false
}

// Remap has an upload be checked again by the mapping that was chosen.
func (p *Pages) Remap(w http.ResponseWriter, r *http.Request, k Keeper) {
	r.Body = http.MaxBytesReader(w, r.Body, mostMapping)
	if err := r.ParseForm(); err != nil {
		_, _ = io.Copy(io.Discard, r.Body)
		p.formFault(w, r, bad("", "the form cannot be read; go back and send it again"))
		return
	}
	p.act(w, r, k, func(form url.Values, promise standin.Once) (standin.Upload, error) {
		values := map[int]string{}
		for name := range form {
			if number, ok := strings.CutPrefix(name, "line"); ok {
				if i, err := strconv.Atoi(number); err == nil {
					values[i] = strings.TrimSpace(form.Get(name))
				}
			}
		}
		if form.Get("by") == "text" { // the text was written; what was chosen above is not asked for
			values = nil
		}
		return p.config.Intake.Remap(r.Context(), form.Get("id"), form.Get("mapping"), values, k.By, promise)
	})
}
