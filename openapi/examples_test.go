package openapi_test

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/go-cmp/cmp"

	"standin/openapi"
)

// closed is the contract with no field allowed that it does not declare, unless
// it says that others may be there.
func closed(t *testing.T) *openapi3.T {
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
	return document
}

// calls are the operations of the contract by their ids.
func calls(document *openapi3.T) map[string]*openapi3.Operation {
	all := map[string]*openapi3.Operation{}
	for _, item := range document.Paths.Map() {
		for _, operation := range item.Operations() {
			all[operation.OperationID] = operation
		}
	}
	return all
}

// shown are the examples of a media type.
func shown(m *openapi3.MediaType) (values []any) {
	if m.Example != nil {
		values = append(values, m.Example)
	}
	for _, name := range slices.Sorted(maps.Keys(m.Examples)) {
		values = append(values, m.Examples[name].Value.Value)
	}
	return values
}

// Every body in JSON that a call takes or is answered with is shown, and what is
// shown is as its schema says.
func TestExamples(t *testing.T) {
	t.Parallel()
	document := closed(t)
	for id, operation := range calls(document) {
		bodies := map[string]openapi3.Content{}
		if operation.RequestBody != nil {
			bodies["the request"] = operation.RequestBody.Value.Content
		}
		for status, response := range operation.Responses.Map() {
			bodies[status] = response.Value.Content
		}
		for body, content := range bodies {
			for kind, m := range content {
				if !strings.HasSuffix(kind, "json") {
					continue
				}
				examples := shown(m)
				if len(examples) == 0 {
					t.Errorf("%s, %s: there is no example", id, body)
				}
				for _, example := range examples {
					if err := m.Schema.Value.VisitJSON(example); err != nil {
						t.Errorf("%s, %s: the example is not as the schema says: %v", id, body, err)
					}
				}
			}
		}
		for _, p := range operation.Parameters {
			if p.Value.Required && p.Value.Example == nil {
				t.Errorf("%s: the parameter %s has no example", id, p.Value.Name)
			}
		}
	}
}

var problemType = regexp.MustCompile(`/problems/[a-z-]+`)

// Each response says of which types its problems are, those it shows among them,
// and every type is one that some call may be answered with.
func TestProblemsAreNamed(t *testing.T) {
	t.Parallel()
	document := closed(t)
	named := map[string]bool{}
	for id, operation := range calls(document) {
		for status, response := range operation.Responses.Map() {
			m := response.Value.Content.Get("application/problem+json")
			if m == nil {
				continue
			}
			types := problemType.FindAllString(*response.Value.Description, -1)
			if len(types) == 0 {
				t.Errorf("%s, %s: no type is named", id, status)
			}
			for _, one := range types {
				named[one] = true
			}
			for _, example := range shown(m) {
				problem := example.(map[string]any)
				if !slices.Contains(types, problem["type"].(string)) {
					t.Errorf("%s, %s: the example is of the type %s, which is not named", id, status, problem["type"])
				}
			}
		}
		if operation.Responses.Default() == nil {
			t.Errorf("%s: nothing is said of all other problems", id)
		}
	}
	var types []string
	for _, one := range document.Components.Schemas["Problem"].Value.Properties["type"].Value.Enum {
		types = append(types, one.(string))
	}
	slices.Sort(types)
	if diff := cmp.Diff(types, slices.Sorted(maps.Keys(named))); diff != "" {
		t.Errorf("the types of the schema Problem (-) and those that responses name (+):\n%s", diff)
	}
}
