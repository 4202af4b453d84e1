package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"

	"standin"
	"standin/api"
	"standin/openapi"
)

// newAPI is the API over a catalogue. Every response is held against the
// contract before the test sees it.
func newAPI(t testing.TB, c standin.Catalogue) http.Handler {
	t.Helper()
	return held(t, unchecked(t, c))
}

// held holds every response of a handler against the contract.
func held(t testing.TB, handler http.Handler) http.Handler {
	t.Helper()
	contract := strictContract(t)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		recorded := httptest.NewRecorder()
		handler.ServeHTTP(recorded, r)
		if err := contract.violation(r, recorded); err != nil {
			t.Errorf("%s %s: the response breaks the contract: %v\n%s", r.Method, r.URL, err, recorded.Body)
		}
		for name, values := range recorded.Header() {
			w.Header()[name] = values
		}
		w.WriteHeader(recorded.Code)
		_, _ = w.Write(recorded.Body.Bytes())
	})
}

// unchecked is the API without the contract held against it.
func unchecked(t testing.TB, c standin.Catalogue) http.Handler {
	t.Helper()
	handler, err := api.New(api.Config{Catalogue: c, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return handler
}

// strict is the contract with no field allowed that it does not declare, unless it
// says that others may be there.
type strict struct {
	document *openapi3.T
	router   routers.Router
}

func strictContract(t testing.TB) *strict {
	t.Helper()
	document, err := openapi3.NewLoader().LoadFromData(openapi.YAML)
	if err != nil {
		t.Fatal(err)
	}
	for _, schema := range document.Components.Schemas {
		if open := schema.Value.AdditionalProperties.Has; schema.Value.Type.Is(openapi3.TypeObject) && (open == nil || !*open) {
			no := false
			schema.Value.AdditionalProperties.Has = &no
		}
	}
	router, err := gorillamux.NewRouter(document)
	if err != nil {
		t.Fatal(err)
	}
	return &strict{document, router}
}

// Addresses that are documents, not calls of the contract.
var documents = []string{"/docs", "/openapi.", "/metrics", "/problems/"}

// violation is how a response breaks the contract, nil where it keeps it.
func (s *strict) violation(r *http.Request, recorded *httptest.ResponseRecorder) error {
	isDocument := slices.ContainsFunc(documents, func(d string) bool { return strings.HasPrefix(r.URL.Path, d) })
	if isDocument && recorded.Code == http.StatusOK || recorded.Code == http.StatusNotModified {
		return nil
	}
	route, params, err := s.router.FindRoute(r)
	if err != nil { // no call of the contract: only a problem will do
		return s.problem(recorded)
	}
	if err := openapi3filter.ValidateResponse(r.Context(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: r, Route: route, PathParams: params},
		Status:                 recorded.Code, Header: recorded.Header(),
		Body:    io.NopCloser(bytes.NewReader(recorded.Body.Bytes())),
		Options: &openapi3filter.Options{IncludeResponseStatus: true},
	}); err != nil {
		return err
	}
	return unnamed(route.Operation.Responses, recorded)
}

// unnamed is that a problem is of a type that the call's responses of that status,
// in their descriptions, do not name.
func unnamed(responses *openapi3.Responses, recorded *httptest.ResponseRecorder) error {
	var problem struct{ Type string }
	if recorded.Code < 400 || json.Unmarshal(recorded.Body.Bytes(), &problem) != nil {
		return nil // HEAD, for one
	}
	for _, described := range []*openapi3.ResponseRef{responses.Status(recorded.Code), responses.Default()} {
		if described != nil && strings.Contains(*described.Value.Description, "`"+problem.Type+"`") {
			return nil
		}
	}
	return fmt.Errorf("the contract does not name %s for the status %d of this call", problem.Type, recorded.Code)
}

func (s *strict) problem(recorded *httptest.ResponseRecorder) error {
	if recorded.Code < 400 {
		return fmt.Errorf("status %d from an address that the contract does not have", recorded.Code)
	}
	if got := recorded.Header().Get("Content-Type"); got != "application/problem+json" {
		return fmt.Errorf("a problem with the Content-Type %q", got)
	}
	var value any
	if err := json.Unmarshal(recorded.Body.Bytes(), &value); err != nil {
		return err
	}
	return s.document.Components.Schemas["Problem"].Value.VisitJSON(value)
}

// call is one request of a test. Header is in pairs of name and value.
type call struct {
	method, target, body string
	header               []string
}

func (c call) do(t testing.TB, handler http.Handler) *response {
	t.Helper()
	recorded := httptest.NewRecorder()
	handler.ServeHTTP(recorded, c.request())
	return &response{recorded}
}

func (c call) request() *http.Request {
	method := c.method
	if method == "" {
		method = http.MethodGet
	}
	r := httptest.NewRequestWithContext(context.Background(), method, c.target, strings.NewReader(c.body))
	if c.body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for pair := range slices.Chunk(c.header, 2) {
		r.Header.Set(pair[0], pair[1])
	}
	return r
}

func get(t testing.TB, handler http.Handler, target string) *response {
	t.Helper()
	return call{target: target}.do(t, handler)
}

type response struct{ *httptest.ResponseRecorder }

// at is the value at a path such as candidates.0.verdict, written as JSON; the
// text "absent" where there is none.
func (r *response) at(path string) string {
	var value any
	if err := json.Unmarshal(r.Body.Bytes(), &value); err != nil {
		return "not JSON: " + err.Error()
	}
	for step := range strings.SplitSeq(path, ".") {
		var err error
		if value, err = inside(value, step); err != nil {
			return "absent"
		}
	}
	text, _ := json.Marshal(value)
	return string(text)
}

func inside(value any, step string) (any, error) {
	switch v := value.(type) {
	case map[string]any:
		if in, ok := v[step]; ok {
			return in, nil
		}
	case []any:
		if step == "length" {
			return len(v), nil
		}
		if i, err := strconv.Atoi(step); err == nil && i < len(v) {
			return v[i], nil
		}
	}
	return nil, errors.New("absent")
}
