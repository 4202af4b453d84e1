package main

import (
	"context"
	"os"
	"os/exec"
	"strings"
	"testing"

	"standin/db/dbtest"
)

// The calls that the README shows work as they stand there, one after the other,
// on the demo catalogue.
func TestReadmeCallsWork(t *testing.T) {
	t.Parallel()
	for _, needed := range []string{"sh", "curl"} {
		if _, err := exec.LookPath(needed); err != nil {
			if os.Getenv("STANDIN_TEST_REQUIRE") != "" {
				t.Fatal(err)
			}
			t.Skipf("%s is not installed", needed)
		}
	}
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	blocks := callsOf(string(text))
	if len(blocks) != 6 {
		t.Fatalf("the README has %d examples of calls, not 6", len(blocks))
	}
	at := dbtest.New(t)
	if got := run(t, "import", "demo/bundle", "--database-url", at, "--by", "demo"); got.status != statusAnswered {
		t.Fatalf("the demo catalogue is not imported: %s", got.stderr)
	}
	token := run(t, "token", "add", "till", "--scope", "stock,fittings", "--expires", "365d", "--database-url", at)
	keeper := run(t, "token", "add", "keeper", "--scope", "catalogue", "--database-url", at)
	server := startServing(t, "serve", "--listen", "127.0.0.1:0", "--database-url", at)
	defer server.stop()
	const strictly = "curl() { command curl --silent --show-error --fail-with-body \"$@\"; echo; }\n"
	for i, wants := range [][]string{
		{`"part_number":"ZQ-PA-131"`, `"verdict":"fits"`},
		{`"added":2`, `"short":[]`},
		{`"state":"taken"`, `"reason":"collected"`, `"kind":"sold"`, `"after":1`},
		{`"tally":"tallies"`, `"family":"Pavane"`},
		{`severity,file,line`, `"after":"Spring changes"`, `"state":"done"`, `"undoes":`},
		{`"kind":"models"`, `"next":`},
	} {
		command := exec.CommandContext(context.WithoutCancel(t.Context()), "sh", "-euc", strictly+blocks[i])
		command.Env = append(os.Environ(), "STANDIN="+server.url, "TOKEN="+strings.TrimSpace(token.stdout), "KEEPER="+strings.TrimSpace(keeper.stdout))
		command.Dir = t.TempDir()
		out, err := command.CombinedOutput()
		if err != nil {
			t.Errorf("%v\n%s\n%.500s", err, blocks[i], out)
		}
		for _, want := range wants {
			if !strings.Contains(string(out), want) {
				t.Errorf("the answer lacks %s:\n%s\n%.500s", want, blocks[i], out)
			}
		}
	}
}

// callsOf finds the blocks, indented by four, that call with curl at $STANDIN.
func callsOf(text string) (blocks []string) {
	for block := range strings.SplitSeq(text, "\n\n") {
		if strings.HasPrefix(block, "    ") && strings.Contains(block, "curl") && strings.Contains(block, "$STANDIN/") {
			blocks = append(blocks, block)
		}
	}
	return blocks
}
