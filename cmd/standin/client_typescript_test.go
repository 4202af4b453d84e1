package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// clientTypescript is where the client in TypeScript is.
const clientTypescript = "../../openapi/typescript"

// The client in TypeScript compiles, and does what workshop software does on the
// program as it runs.
func TestClientTypescript(t *testing.T) {
	t.Parallel()
	lacks := func(what string) {
		t.Helper()
		if os.Getenv("STANDIN_TEST_REQUIRE") != "" {
			t.Fatal(what)
		}
		t.Skip(what)
	}
	if _, err := exec.LookPath("node"); err != nil {
		lacks("node is not installed")
	}
	compiler := filepath.Join("node_modules", "typescript", "bin", "tsc")
	if _, err := os.Stat(filepath.Join(clientTypescript, compiler)); err != nil {
		lacks("the packages of openapi/typescript are not installed; run npm ci there")
	}
	node := func(env []string, args ...string) string {
		t.Helper()
		command := exec.CommandContext(t.Context(), "node", args...)
		command.Dir = clientTypescript
		command.Env = append(os.Environ(), env...)
		out, err := command.CombinedOutput()
		if err != nil {
			t.Fatalf("node %s: %v\n%s", strings.Join(args, " "), err, out)
		}
		return string(out)
	}
	// It looks for its packages from where it is.
	build, err := os.MkdirTemp(clientTypescript, "build-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(build) })
	node(nil, compiler, "--outDir", filepath.Base(build))
	url, token := served(t)
	did := node([]string{"STANDIN=" + url, "TOKEN=" + token}, filepath.Join(filepath.Base(build), "workshop.js"))
	if want := "counter nightly holdAndTake fitting changes problems"; strings.Join(strings.Fields(did), " ") != want {
		t.Errorf("it did %q, want %q", did, want)
	}
}
