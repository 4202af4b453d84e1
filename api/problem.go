package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"standin"
	"standin/openapi/gen"
)

// problemTypes are the types of problem details (RFC 9457): the status and the
// title of each.
var problemTypes = map[gen.ProblemType]struct {
	status int
	title  string
}{
	gen.ProblemTypeBadRequest:           {http.StatusBadRequest, "The question is malformed"},
	gen.ProblemTypeUnknownParameter:     {http.StatusBadRequest, "A parameter is not known here"},
	gen.ProblemTypeUnauthorized:         {http.StatusUnauthorized, "A token is needed"},
	gen.ProblemTypeForbidden:            {http.StatusForbidden, "The token does not allow this"},
	gen.ProblemTypeUnknownModel:         {http.StatusNotFound, "No such model"},
	gen.ProblemTypeNotFound:             {http.StatusNotFound, "There is none"},
	gen.ProblemTypeMethodNotAllowed:     {http.StatusMethodNotAllowed, "The address does not take this method"},
	gen.ProblemTypeRequestTimeout:       {http.StatusRequestTimeout, "The request was not sent in time"},
	gen.ProblemTypeConflict:             {http.StatusConflict, "It is being changed, or was changed meanwhile"},
	gen.ProblemTypeDoesNotFit:           {http.StatusConflict, "The board does not fit"},
	gen.ProblemTypeUnsettled:            {http.StatusConflict, "It depends on the build, which is not settled"},
	gen.ProblemTypeNotFree:              {http.StatusConflict, "So many pieces are not free"},
	gen.ProblemTypePrecondition:         {http.StatusPreconditionFailed, "It is not as you believe it to be"},
	gen.ProblemTypeTooLarge:             {http.StatusRequestEntityTooLarge, "The body is too large"},
	gen.ProblemTypeUnsupportedMediaType: {http.StatusUnsupportedMediaType, "The body is of another type than is accepted"},
	gen.ProblemTypeRejected:             {http.StatusUnprocessableEntity, "The change must not be"},
	gen.ProblemTypeKeyReused:            {http.StatusUnprocessableEntity, "The idempotency key stands for another request"},
	gen.ProblemTypeTooManyRequests:      {http.StatusTooManyRequests, "Too many requests"},
	gen.ProblemTypeInternal:             {http.StatusInternalServerError, "A fault of the program"},
	gen.ProblemTypeBusy:                 {http.StatusServiceUnavailable, "Too much is asked at once"},
	gen.ProblemTypeUnavailable:          {http.StatusServiceUnavailable, "It cannot be answered now"},
	gen.ProblemTypeSchema:               {http.StatusServiceUnavailable, "The database's schema is not this program's"},
	gen.ProblemTypeNoSpace:              {http.StatusInsufficientStorage, "A disk is full"},
}

// codeTypes is the one mapping of the core's errors to problems.
var codeTypes = map[standin.Code]gen.ProblemType{
	standin.CodeBadRequest:   gen.ProblemTypeBadRequest,
	standin.CodeUnauthorized: gen.ProblemTypeUnauthorized,
	standin.CodeForbidden:    gen.ProblemTypeForbidden,
	standin.CodeUnknownModel: gen.ProblemTypeUnknownModel,
	standin.CodeNotFound:     gen.ProblemTypeNotFound,
	standin.CodeRejected:     gen.ProblemTypeRejected,
	standin.CodeConflict:     gen.ProblemTypeConflict,
	standin.CodeDoesNotFit:   gen.ProblemTypeDoesNotFit,
	standin.CodeUnsettled:    gen.ProblemTypeUnsettled,
	standin.CodeNotFree:      gen.ProblemTypeNotFree,
	standin.CodePrecondition: gen.ProblemTypePrecondition,
	standin.CodeKeyReused:    gen.ProblemTypeKeyReused,
	standin.CodeBusy:         gen.ProblemTypeBusy,
	standin.CodeTooLarge:     gen.ProblemTypeTooLarge,
	standin.CodeUnavailable:  gen.ProblemTypeUnavailable,
	standin.CodeSchema:       gen.ProblemTypeSchema,
	standin.CodeNoSpace:      gen.ProblemTypeNoSpace,
}

// problemOf is any error as a problem. What is not meant for people stays in
// the log.
func problemOf(err error) gen.Problem {
	var (
		r *refusal
		s *standin.Error
		h *echo.HTTPError
	)
	switch {
	case errors.As(err, &r):
		return newProblem(r.kind, r.detail, r.parameter)
	case errors.As(err, &s) && codeTypes[s.Code] != "":
		p := newProblem(codeTypes[s.Code], s.Message, s.Field)
		if s.Code == standin.CodeUnknownModel {
			nearest := list(s.Nearest, encodeMatch)
			p.Candidates = &nearest
		}
		if s.Code == standin.CodeNotFree {
			free := list(s.Stock, encodeLine)
			p.Stock = &free
		}
		if u, ok := errors.AsType[*uploadError](err); ok {
			first := list(u.findings, encodeFinding)
			p.Upload, p.Findings = &u.upload, &first
		}
		return p
	case errors.As(err, &h):
		return httpProblem(h.Code)
	}
	return newProblem(gen.ProblemTypeInternal, "The program failed at this; its log has the cause.", "")
}

// EncodeProblem is an error for people in the shape of the contract.
func EncodeProblem(err *standin.Error) gen.Problem { return problemOf(err) }

// httpProblem is for the errors of the router and the binder.
func httpProblem(status int) gen.Problem {
	switch status {
	case http.StatusNotFound:
		return newProblem(gen.ProblemTypeNotFound, "There is nothing at this address; /docs shows those there are.", "")
	case http.StatusMethodNotAllowed:
		return newProblem(gen.ProblemTypeMethodNotAllowed, "This address does not take this method; the header Allow has those it takes.", "")
	case http.StatusBadRequest:
		return newProblem(gen.ProblemTypeBadRequest, "The request cannot be read; /docs shows what is accepted.", "")
	}
	return problemOf(nil)
}

func newProblem(kind gen.ProblemType, detail, parameter string) gen.Problem {
	p := gen.Problem{
		Type: kind, Title: problemTypes[kind].title, Status: problemTypes[kind].status, Detail: detail,
	}
	if parameter != "" {
		p.Parameter = &parameter
	}
	return p
}

// sendProblem is echo's error handler.
func (h *handlers) sendProblem(err error, c echo.Context) {
	if c.Response().Committed {
		return // too late; the request log has the error
	}
	p := problemOf(err)
	header := c.Response().Header()
	header.Del("ETag") // it was that of the answer
	header.Set("Content-Type", "application/problem+json")
	header.Set("Cache-Control", "no-store")
	switch p.Status {
	case http.StatusServiceUnavailable:
		header.Set("Retry-After", retryAfter)
	case http.StatusUnauthorized, http.StatusForbidden:
		header.Set("WWW-Authenticate", challenge(c.Request(), p.Status))
	}
	c.Response().WriteHeader(p.Status)
	if c.Request().Method == http.MethodHead {
		return
	}
	if err := json.NewEncoder(c.Response()).Encode(p); err != nil {
		h.log.Debug("a problem could not be sent", "error", err)
	}
}

// sendProblemType says in plain text what a type of problem is, for people who
// follow the address in type.
func sendProblemType(c echo.Context) error {
	kind, ok := problemTypes[gen.ProblemType(c.Request().URL.Path)]
	if !ok {
		return echo.ErrNotFound
	}
	return c.String(http.StatusOK, fmt.Sprintf("%s (status %d).\nThe detail of a problem says more; /docs has all types.\n", kind.title, kind.status))
}
