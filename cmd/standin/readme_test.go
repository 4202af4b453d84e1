package main

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin/db/dbtest"
)

// leftOut is a line of the README that stands for any number of lines.
const leftOut = "[…]"

// example is a command of the README and the output shown below it.
type example struct {
	line    int
	command []string
	output  []string
}

// The README shows today's output of every command in it, on the demo catalogue.
func TestReadmeIsCurrent(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	at := dbtest.New(t)
	if got := run(t, "import", "demo/bundle", "--database-url", at, "--by", "demo"); got.status != statusAnswered {
		t.Fatalf("the demo catalogue is not imported: %s", got.stderr)
	}
	examples := examplesOf(string(text))
	if len(examples) < 3 {
		t.Fatalf("the README has %d commands with output; it showed more", len(examples))
	}
	for _, e := range examples {
		got := run(t, append(slices.Clone(e.command), "--database-url", at)...)
		if shown := strings.Split(strings.TrimRight(got.stdout+got.stderr, "\n"), "\n"); !shows(e.output, shown) {
			t.Errorf("README.md:%d: standin %s says today (-README +today):\n%s",
				e.line, strings.Join(e.command, " "), cmp.Diff(e.output, shown))
		}
	}
}

// examplesOf finds the blocks, indented by four, that begin with "$ standin".
func examplesOf(text string) []example {
	var found []example
	var open *example
	for i, line := range strings.Split(text, "\n") {
		block, inside := strings.CutPrefix(line, "    ")
		command, begins := strings.CutPrefix(block, "$ standin ")
		switch {
		case inside && begins:
			found = append(found, example{line: i + 1, command: words(command)})
			open = &found[len(found)-1]
		case open != nil && inside:
			open.output = append(open.output, block)
		case open != nil && line == "":
			open.output = append(open.output, "")
		default:
			open = nil
		}
	}
	for i := range found {
		for len(found[i].output) > 0 && found[i].output[len(found[i].output)-1] == "" {
			found[i].output = found[i].output[:len(found[i].output)-1]
		}
	}
	return found
}

// words splits a command as a shell does, double quotes holding words together.
func words(command string) []string {
	var split []string
	for i, part := range strings.Split(command, `"`) {
		if i%2 == 1 {
			split = append(split, part)
		} else {
			split = append(split, strings.Fields(part)...)
		}
	}
	return split
}

// shows reports whether the lines shown are those there are, with any number of
// them for each line that stands for what is left out.
func shows(shown, lines []string) bool {
	for i, line := range shown {
		if strings.TrimSpace(line) == leftOut {
			for skip := range len(lines) - i + 1 {
				if shows(shown[i+1:], lines[i+skip:]) {
					return true
				}
			}
			return false
		}
		if i >= len(lines) || strings.TrimRight(lines[i], " ") != strings.TrimRight(line, " ") {
			return false
		}
	}
	return len(shown) == len(lines)
}

func TestShows(t *testing.T) {
	t.Parallel()
	there := strings.Fields("a b c d")
	for shown, want := range map[string]bool{
		"a b c d": true, "a b c": false, "a b c d e": false, "a x c d": false,
		"a […] d": true, "[…] d": true, "a […]": true, "a b c d […]": true, "a […] x": false, "[…] b […]": true,
	} {
		if got := shows(strings.Fields(shown), there); got != want {
			t.Errorf("%q shows %q: %v; want %v", shown, there, got, want)
		}
	}
}
