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
