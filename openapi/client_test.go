package openapi_test

import (
	"os"
	"regexp"
	"testing"
)

// The Go client has one field for problems: client.overlay.yaml leaves out every
// status of the contract that is no success.
func TestClientHasOneFieldForProblems(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("client/gen.go")
	if err != nil {
		t.Fatal(err)
	}
	if odd := regexp.MustCompile(`\bApplicationProblemJSON\d+|\bHeaders[345]\d\d\b`).Find(text); odd != nil {
		t.Errorf("openapi/client.overlay.yaml lacks the status of %s", odd)
	}
}
