// Package client calls the HTTP API. It has a method for every call of the
// contract, whose description is that of the method; gen.go is generated from it.
//
//	c, err := client.NewClientWithResponses("http://127.0.0.1:8470", client.WithToken(token))
//	…
//	answer, err := c.GetFitWithResponse(ctx, &client.GetFitParams{Brand: "Fenlask", Model: "Vask 690"})
//	if err == nil {
//		err = client.ErrorOf(answer)
//	}
//	if err != nil {
//		return err
//	}
//	for _, candidate := range answer.JSON200.Candidates {
//		…
//	}
//
// A response has a field for every status it may be answered with. What is not
// answered is a [Problem], and in the field ApplicationProblemJSONDefault whatever
// its status; HeadersDefault then says in RetryAfter, in seconds, when to ask again.
//
// A client is safe for concurrent use.
package client

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
)

// WithToken has every call show a token, as `standin token add` printed it.
func WithToken(token string) ClientOption {
	return WithRequestEditorFn(func(_ context.Context, r *http.Request) error {
		r.Header.Set("Authorization", "Bearer "+token)
		return nil
	})
}

// Error is the detail of a problem: one sentence for people.
func (p *Problem) Error() string { return p.Detail }

// ErrorOf is why there is no answer in a response: a *[Problem] where the service
// said why, another error where something else answered in its place, and nil
// where there is an answer, or none is needed because what the caller has still
// holds (304).
func ErrorOf(r interface {
	StatusCode() int
	ContentType() string
	GetApplicationProblemJSONDefault() *Problem
}) error {
	status, contentType := r.StatusCode(), r.ContentType()
	answered := strings.Contains(contentType, "json") || strings.Contains(contentType, "pdf")
	switch p := r.GetApplicationProblemJSONDefault(); {
	case p != nil && p.Type != "":
		return p
	case status == http.StatusNotModified || status/100 == 2 && answered:
		return nil
	}
	return fmt.Errorf("client: this is not from the service: status %d with the Content-Type %q", status, contentType)
}

// nextLink is the link to the next page (RFC 8288).
var nextLink = regexp.MustCompile(`<([^<>]+)>\s*;\s*rel="?next"?`)

// NextAfter is the parameter After with which a list goes on, by the header Link
// of a page; nil where that was the last.
func NextAfter(link *string) *string {
	if link == nil {
		return nil
	}
	m := nextLink.FindStringSubmatch(*link)
	if m == nil {
		return nil
	}
	address, err := url.Parse(m[1])
	if err != nil || !address.Query().Has("after") {
		return nil
	}
	after := address.Query().Get("after")
	return &after
}
