package page

import (
	"errors"
	"net/http"

	"standin"
)

// faultPage says what cannot be answered and what can be done about it.
type faultPage struct {
	base
	Heading string
	Message string
}

// statuses are those of HTTP for the core's errors; the one mapping of the pages.
var statuses = map[standin.Code]int{
	standin.CodeBadRequest:   http.StatusBadRequest,
	standin.CodeUnknownModel: http.StatusNotFound,
	standin.CodeNotFound:     http.StatusNotFound,
	standin.CodeUnavailable:  http.StatusServiceUnavailable,
	standin.CodeSchema:       http.StatusServiceUnavailable,
}

// fault sends a page for an error. What is not meant for people stays in the log.
func (p *Pages) fault(w http.ResponseWriter, r *http.Request, err error) {
	var known *standin.Error
	if !errors.As(err, &known) || statuses[known.Code] == 0 {
		p.log.ErrorContext(r.Context(), "a page failed", "error", err)
		http.Error(w, "The program failed at this page; its log has the cause.", http.StatusInternalServerError)
		return
	}
	page := faultPage{base: p.base("Not answered", ""), Heading: "Not answered", Message: known.Message}
	p.show(w, r, statuses[known.Code], "fault", page)
}

// NotFound is the page for an address that there is not.
func (p *Pages) NotFound(w http.ResponseWriter, r *http.Request) {
	p.fault(w, r, &standin.Error{Code: standin.CodeNotFound, Message: "there is no page at this address"})
}
