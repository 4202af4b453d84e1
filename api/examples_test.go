package api_test

import (
	"cmp"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"

	"standin/api"
)

// example is a request as the contract shows it.
type example struct {
	id     string
	method string
	path   string // as the contract writes it
	scope  string
	status int // of the answer that is shown for it
	value  *openapi3.Operation
}

// happening are the tags of calls about what happens, whose answers depend on it.
var happening = []string{"stock", "holds", "fittings", "changes", "operation"}

// examplesOf are the requests that the contract shows, in an order in which one can
// follow the other: the catalogue, then a location's count, a release last.
func examplesOf(document *openapi3.T) (all []example) {
	for path, item := range document.Paths.Map() {
		for method, operation := range item.Operations() {
			e := example{id: operation.OperationID, method: method, path: path, scope: operation.Extensions["x-scope"].(string), value: operation}
			for _, status := range []int{200, 201} {
				if e.status == 0 && operation.Responses.Status(status) != nil {
					e.status = status
				}
			}
			if e.id == "putStock" {
				e.status = 200 // of a line that is there
			}
			if e.method == http.MethodPost && operation.Responses.Status(201) != nil {
				e.status = 201
			}
			all = append(all, e)
		}
	}
	order := []string{"putLocation", "addHold", "addFitting", "addMove"}
	place := func(e example) int {
		if !slices.Contains(happening, e.value.Tags[0]) {
			return -len(order) - 1
		}
		if i := slices.Index(order, e.id); i >= 0 {
			return i - len(order)
		}
		return slices.Index([]string{http.MethodGet, http.MethodPut, http.MethodPatch, http.MethodPost, http.MethodDelete}, e.method)
	}
	slices.SortFunc(all, func(a, b example) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), strings.Compare(a.path, b.path))
	})
	return all
}

// call makes the request: with every parameter that is shown, and its body.
func (e example) call(t *testing.T, ids map[string]string) call {
	t.Helper()
	path, query := e.path, url.Values{}
	for _, p := range e.value.Parameters {
		text := fmt.Sprint(p.Value.Example)
		switch {
		case p.Value.Example == nil:
		case p.Value.In == openapi3.ParameterInQuery:
			query.Set(p.Value.Name, text)
		case p.Value.In == openapi3.ParameterInPath:
			if id := ids[strings.TrimSuffix(strings.TrimSuffix(e.path, "/take"), "/{id}")]; p.Value.Name == "id" && id != "" {
				text = id
			}
			path = strings.Replace(path, "{"+p.Value.Name+"}", url.PathEscape(text), 1)
		}
	}
	if len(query) > 0 {
		path += "?" + query.Encode()
	}
	c := call{method: e.method, target: path, header: []string{"Authorization", "Bearer " + e.scope, "Idempotency-Key", rand.Text()}}
	if e.value.RequestBody != nil {
		c.body = e.body(t)
	}
	return c
}

// body is the body that is shown. What is to end at a time ends in a while.
func (e example) body(t *testing.T) string {
	t.Helper()
	value := e.value.RequestBody.Value.Content.Get("application/json").Example
	if fields, ok := value.(map[string]any); ok && fields["until"] != nil {
		fields["until"] = time.Now().Add(time.Hour).Format(time.RFC3339)
	}
	text, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// noise is a number as a float32 becomes where it is taken for a float64.
var noise = regexp.MustCompile(`[:[,]-?\d+\.\d{9,}[],}]`)

// What the contract shows is answered as it says: each request, on the demo
// catalogue, with the token its scope asks for.
func TestContractExamples(t *testing.T) {
	t.Parallel()
	database, _ := importedShop(t, "../cmd/standin/demo/bundle")
	config := shopConfig(database, true)
	config.Tokens = newTokens()
	inner, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	handler, sent, ids := held(t, inner), 0, map[string]string{}
	for _, e := range examplesOf(strictContract(t).document) {
		if strings.HasPrefix(e.path, "/v1/imports") { // a bundle, which is no JSON
			continue
		}
		got := e.call(t, ids).do(t, handler)
		if sent++; got.Code != e.status {
			t.Errorf("%s: status %d, want %d: %.400s", e.id, got.Code, e.status, got.Body)
		}
		if noisy := noise.FindString(got.Body.String()); noisy != "" {
			t.Errorf("%s: a number has digits that mean nothing: %s", e.id, noisy)
		}
		if !slices.Contains(happening, e.value.Tags[0]) {
			e.compare(t, got)
		}
		switch e.id {
		case "addHold":
			ids[e.path] = got.at("hold")
		case "addFitting":
			ids[e.path] = got.at("fitting")
		case "takeHold": // the next is of another
			ids["/v1/holds"] = as("stock", http.MethodPost, "/v1/holds", holdOfExample(t)).do(t, handler).at("hold")
		}
	}
	if sent < 30 {
		t.Errorf("only %d requests were sent", sent)
	}
}

// varying are the fields of answers that are prose, or numbers of a database.
var varying = []string{"text", "reason", "hint", "cautions", "source", "id", "model_id", "catalogue_version", "nearness", "cost", "detail"}

// compare reports what the example of an answer has and the answer has not. Lists
// are shown shortened.
func (e example) compare(t *testing.T, got *response) {
	t.Helper()
	media := e.value.Responses.Status(e.status).Value.Content.Get("application/json")
	if media == nil { // a PDF
		return
	}
	var answer any
	if err := json.Unmarshal(got.Body.Bytes(), &answer); err != nil {
		t.Error(err)
	}
	var compare func(at string, shown, answered any)
	compare = func(at string, shown, answered any) {
		switch shown := shown.(type) {
		case map[string]any:
			fields, _ := answered.(map[string]any)
			for name, value := range shown {
				if !slices.Contains(varying, name) {
					compare(at+"/"+name, value, fields[name])
				}
			}
		case []any:
			list, _ := answered.([]any)
			for i, value := range shown {
				if i >= len(list) {
					t.Errorf("%s: the contract shows more at %s than the %d that are answered", e.id, at, len(list))
					return
				}
				compare(fmt.Sprintf("%s/%d", at, i), value, list[i])
			}
		default:
			if !reflect.DeepEqual(shown, answered) {
				t.Errorf("%s: at %s the contract shows %v, and %v is answered", e.id, at, shown, answered)
			}
		}
	}
	for _, one := range media.Examples {
		compare("", one.Value.Value, answer)
	}
}

// The problems that the contract shows have the title and status that those of
// their type have.
func TestContractProblems(t *testing.T) {
	t.Parallel()
	handler, checked := newAPI(t, newCatalogue()), 0
	for path, item := range strictContract(t).document.Paths.Map() {
		for method, operation := range item.Operations() {
			for status, r := range operation.Responses.Map() {
				media := r.Value.Content.Get("application/problem+json")
				if media == nil {
					continue
				}
				examples := []any{media.Example}
				for _, one := range media.Examples {
					examples = append(examples, one.Value.Value)
				}
				for _, one := range examples {
					shown, ok := one.(map[string]any)
					if !ok {
						continue
					}
					checked++
					said := get(t, handler, shown["type"].(string)).Body.String()
					if want := fmt.Sprintf("%s (status %v)", shown["title"], shown["status"]); !strings.HasPrefix(said, want) {
						t.Errorf("%s %s, %s: the contract shows %s, and %s is %s", method, path, status, want, shown["type"], said)
					}
				}
			}
		}
	}
	if checked < 100 {
		t.Errorf("only %d were looked at", checked)
	}
}

func holdOfExample(t *testing.T) string {
	t.Helper()
	operation := strictContract(t).document.Paths.Value("/v1/holds").Post
	return example{value: operation}.body(t)
}
