package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/api"
)

// show writes an outcome: encoded as JSON where that is requested, else text.
func (p *program) show(asJSON bool, encoded any, text string) error {
	if asJSON {
		return p.printJSON(encoded)
	}
	return p.print(text)
}

// printJSON writes a value for programs to read.
func (p *program) printJSON(value any) error {
	var text strings.Builder
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(value); err != nil {
		return err
	}
	return p.print(text.String())
}

// withProblem has a command that was asked for JSON print a problem where it has
// no answer, in the shape of the API's. The error and its exit status stay.
func (p *program) withProblem(action cli.ActionFunc) cli.ActionFunc {
	return func(ctx context.Context, c *cli.Command) error {
		err := action(ctx, c)
		var known *standin.Error
		if !c.Bool(flagJSON) || p.answered || !errors.As(err, &known) {
			return err
		}
		return errors.Join(err, p.printJSON(api.EncodeProblem(known)))
	}
}

// printAPI writes what the API answers to a GET, so that the JSON of a command
// is the same as that of the call, by asking it in this process. A problem is
// an error with its sentence.
func (p *program) printAPI(ctx context.Context, catalogue standin.Catalogue, path string, query url.Values) error {
	handler, err := api.New(api.Config{Catalogue: catalogue, Version: version()})
	if err != nil {
		return err
	}
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, path+"?"+query.Encode(), nil)
	if err != nil {
		return err
	}
	answer := &response{header: http.Header{}, status: http.StatusOK}
	handler.ServeHTTP(answer, request)
	var indented bytes.Buffer
	if err := json.Indent(&indented, bytes.TrimSpace(answer.body.Bytes()), "", "  "); err != nil {
		return err
	}
	indented.WriteByte('\n')
	if answer.status != http.StatusOK {
		var problem struct{ Detail string }
		if err := json.Unmarshal(answer.body.Bytes(), &problem); err != nil {
			return err
		}
		return errors.Join(&standin.Error{Message: problem.Detail}, p.print(indented.String()))
	}
	if answer.header.Get("Link") != "" {
		p.note("standin: there are more than are listed here")
	}
	return p.print(indented.String())
}

// response is an http.ResponseWriter that keeps what is written.
type response struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (r *response) Header() http.Header         { return r.header }
func (r *response) WriteHeader(status int)      { r.status = status }
func (r *response) Write(b []byte) (int, error) { return r.body.Write(b) }
