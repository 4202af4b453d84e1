package openapi_test

import (
	"os"
	"regexp"
	"strings"
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

// The client in TypeScript knows every call and every schema. Whether it is as the
// generator makes it is for CI, which has npm.
func TestTypescriptIsCurrent(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("typescript/schema.d.ts")
	if err != nil {
		t.Fatal(err)
	}
	document := closed(t)
	names := []string{}
	for id := range calls(document) {
		names = append(names, `operations["`+id+`"]`)
	}
	for name := range document.Components.Schemas {
		names = append(names, "export type "+name+" =")
	}
	for _, name := range names {
		if !strings.Contains(string(text), name) {
			t.Errorf("it lacks %s; run npm ci and npm run generate in openapi/typescript", name)
		}
	}
}
