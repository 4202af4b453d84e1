package page

import (
	"errors"
	"net/http"
	"net/url"

	"standin"
)

// retryAfter is after how many seconds it is worth asking again, while the
// database is away.
const retryAfter = "5"

// faultPage says what cannot be answered and what can be done about it.
type faultPage struct {
	base
	Heading string
	Message string
	Nearest []match   // what may have been meant
	Form    *evidence // to put right what was typed; nil: none
	Again   string    // address to ask again at; empty: that would not help
	Waits   bool      // whether it asks again by itself
	Without string    // the address without the parameter that is not known
}

// statuses are those of HTTP for the core's errors; the one mapping of the pages.
var statuses = map[standin.Code]int{
	standin.CodeBadRequest:   http.StatusBadRequest,
	standin.CodeUnknownModel: http.StatusNotFound,
	standin.CodeNotFound:     http.StatusNotFound,
	standin.CodeUnavailable:  http.StatusServiceUnavailable,
	standin.CodeSchema:       http.StatusServiceUnavailable,
	standin.CodeForbidden:    http.StatusForbidden,
	standin.CodeConflict:     http.StatusConflict,
	standin.CodeNotFree:      http.StatusConflict,
	standin.CodeRejected:     http.StatusUnprocessableEntity,
	standin.CodeTooLarge:     http.StatusRequestEntityTooLarge,
	standin.CodeKeyReused:    http.StatusUnprocessableEntity,
	standin.CodeBusy:         http.StatusServiceUnavailable,
	standin.CodeNoSpace:      http.StatusInsufficientStorage,
}

// headings say it in a few words.
var headings = map[standin.Code]string{
	standin.CodeBadRequest:   "That cannot be read",
	standin.CodeUnknownModel: "No such model is recorded",
	standin.CodeNotFound:     "There is none",
	standin.CodeUnavailable:  "The database is away",
	standin.CodeSchema:       "The database is not ready for this program",
	standin.CodeForbidden:    "You may not do this",
	standin.CodeConflict:     "It has changed meanwhile",
	standin.CodeNotFree:      "So many are not free",
	standin.CodeRejected:     "This is refused",
	standin.CodeTooLarge:     "That is too large",
	standin.CodeKeyReused:    "The form was sent before",
	standin.CodeBusy:         "Too much is being taken in at once",
	standin.CodeNoSpace:      "A disk is full",
}

// fault sends a page for an error. What is not meant for people stays in the log.
func (p *Pages) fault(w http.ResponseWriter, r *http.Request, err error) {
	var known *standin.Error
	if !errors.As(err, &known) || statuses[known.Code] == 0 {
		p.log.ErrorContext(r.Context(), "a page failed", "error", err)
		page := p.faultPage(r, "The program failed at this", "its log has the cause")
		page.Again = r.URL.RequestURI()
		p.show(w, r, http.StatusInternalServerError, "fault", page)
		return
	}
	page := p.faultPage(r, headings[known.Code], known.Message)
	switch known.Code {
	case standin.CodeUnavailable, standin.CodeSchema:
		p.log.ErrorContext(r.Context(), "a page could not be answered", "error", err)
		w.Header().Set("Retry-After", retryAfter)
		page.Again, page.Waits = r.URL.RequestURI(), true
	case standin.CodeBadRequest:
		page.Without = without(r.URL, known.Field)
	}
	p.show(w, r, statuses[known.Code], "fault", page)
}

// faultPage begins a page about a fault, with what was typed as far as it can be shown.
func (p *Pages) faultPage(r *http.Request, heading, message string) *faultPage {
	query := r.URL.Query()
	location := query.Get("location")
	if !printable(location) {
		location = ""
	}
	page := &faultPage{base: p.bare(heading, location), Heading: heading, Message: message}
	if typed := query.Get("q"); printable(typed) {
		page.Typed = typed
	}
	page.Focus = true
	return page
}

// without is an address without a parameter.
func without(u *url.URL, name string) string {
	query := u.Query()
	if name == "" || !query.Has(name) {
		return ""
	}
	query.Del(name)
	shorter := *u
	shorter.RawQuery = query.Encode()
	return shorter.RequestURI()
}

// NotFound is the page for an address that there is not.
func (p *Pages) NotFound(w http.ResponseWriter, r *http.Request) {
	p.fault(w, r, &standin.Error{Code: standin.CodeNotFound, Message: "there is no page at this address; begin with the field above"})
}

// Forbidden is the page for what a token does not allow.
func (p *Pages) Forbidden(w http.ResponseWriter, r *http.Request, err error) { p.fault(w, r, err) }

// unknownModel offers the nearest models, with the evidence that was given.
func (p *Pages) unknownModel(w http.ResponseWriter, r *http.Request, m standin.Machine, fault *standin.Error) {
	page := p.faultPage(r, headings[fault.Code], fault.Message)
	page.Typed = m.ModelKey.Brand + " " + m.Model
	for _, near := range fault.Nearest {
		other := m
		other.ModelKey = near.ModelKey
		page.Nearest = append(page.Nearest, match{Name: near.ModelKey.String(), Kind: near.Kind, Link: fitsLink(&other)})
	}
	page.Focus = len(page.Nearest) == 0 // else the first line has it
	p.show(w, r, statuses[fault.Code], "fault", page)
}

// evidenceFault says which piece of evidence cannot be read, with the form to
// put it right.
func (p *Pages) evidenceFault(w http.ResponseWriter, r *http.Request, query url.Values, fault *standin.Error) {
	page := p.faultPage(r, headings[fault.Code], fault.Message)
	page.Focus = false
	page.Form = &evidence{
		Brand: query.Get("brand"), Model: query.Get("model"), Variant: query.Get("variant"), Made: query.Get("made"),
		Serial: query.Get("serial"), Plug: query.Get("plug"), OldPart: query.Get("old_part"), Location: query.Get("location"),
		Open: true, Faults: faultsOf(fault.Field, standin.Sentence(fault.Message)),
	}
	if fault.Field == "brand" || fault.Field == "model" {
		page.Form = nil // the field above finds a model
		page.Focus = true
	}
	p.show(w, r, statuses[fault.Code], "fault", page)
}
