package openapi_test

import (
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"standin/openapi"
)

// The contract is an OpenAPI document, its examples and defaults included.
func TestContractIsValid(t *testing.T) {
	t.Parallel()
	document, err := openapi3.NewLoader().LoadFromData(openapi.YAML)
	if err != nil {
		t.Fatal(err)
	}
	if err := document.Validate(t.Context()); err != nil {
		t.Error(err)
	}
}

// A number without a format is generated as a float32, whose digits after the
// seventh are noise.
func TestNumbersAreDoubles(t *testing.T) {
	t.Parallel()
	document, err := openapi3.NewLoader().LoadFromData(openapi.YAML)
	if err != nil {
		t.Fatal(err)
	}
	numbers := 0
	for name, schema := range document.Components.Schemas {
		for field, f := range schema.Value.Properties {
			for _, s := range []*openapi3.SchemaRef{f, f.Value.Items} {
				if s == nil || !s.Value.Type.Is(openapi3.TypeNumber) {
					continue
				}
				numbers++
				if s.Value.Format != "double" {
					t.Errorf("%s.%s is a number of the format %q", name, field, s.Value.Format)
				}
			}
		}
	}
	if numbers < 10 {
		t.Errorf("only %d numbers were looked at", numbers)
	}
}
