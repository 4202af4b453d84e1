package main

import (
	"bytes"
	"context"
	"net"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/urfave/cli/v3"

	"standin/cmd/standin/tell"
)

// outcome of a run of the program.
type ran struct {
	status         int
	stdout, stderr string
}

// patience is how long a run may take that is to end by itself.
const patience = time.Minute

// run runs the program as its arguments ask for.
func run(t *testing.T, args ...string) ran {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	return runIn(ctx, args...)
}

func runIn(ctx context.Context, args ...string) ran {
	var stdout, stderr bytes.Buffer
	status := Run(ctx, append([]string{"standin"}, args...), strings.NewReader(""), &stdout, &stderr)
	return ran{status, stdout.String(), stderr.String()}
}

// closedPort is an address at which nobody listens.
func closedPort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// takenPort is an address at which somebody listens.
func takenPort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l.Addr().String()
}

func TestStatus(t *testing.T) {
	t.Parallel()
	if promised := [...]int{statusAnswered, statusFailed, statusUsage, statusNothing}; promised != [...]int{0, 1, 2, 3} {
		t.Errorf("the statuses are %v, and people's scripts rely on others", promised)
	}
	away := "postgres://someone:secret@" + closedPort(t) + "/standin"
	taken := takenPort(t)
	for _, c := range []struct {
		args   string
		status int
		says   string // on stderr
	}{
		{"version", statusAnswered, ""},
		{"version --json", statusAnswered, ""},
		{"", statusAnswered, ""},
		{"--help", statusAnswered, ""},
		{"fit --help", statusAnswered, ""},
		{"migrate", statusAnswered, ""},
		{"fitt", statusUsage, `there is no command "standin fitt"; did you mean "standin fit"?`},
		{"migrate upp", statusUsage, `there is no command "standin migrate upp"; did you mean "standin migrate up"?`},
		{"help nothing", statusUsage, ""},
		{"version now", statusUsage, `"now" is left over`},
		{"fit", statusUsage, "name the model with --brand and --model; see standin fit --help"},
		{"fit --brand Corvane", statusUsage, "name the model with --brand and --model"},
		{"fit --brand Corvane --model C1 Corvane", statusUsage, `not both ("Corvane" is left over)`},
		{"fit --serail 1", statusUsage, "there is no flag --serail (did you mean --serial?)"},
		{"fit --serial", statusUsage, "--serial needs a value"},
		{"fit --brand B --model M --made 03/2001", statusUsage, `--made: "03" is not a date; write it as 2004, 2004-09, 2004-09-17 or 2004-W38`},
		{"fit --brand B --model M --plug ten", statusUsage, `--plug: "ten" is not a number of ways`},
		{"models", statusUsage, "say what is on the plate"},
		{"models x --limit 0", statusUsage, "0 is not from 1 to 50"},
		{"models x --limit ten", statusUsage, `"ten"`},
		{"board", statusUsage, "give the part number, and nothing else"},
		{"board A B", statusUsage, "give the part number, and nothing else"},
		{"import", statusUsage, "name a folder, a .zip, an .xlsx or CSV files"},
		{"undo last", statusUsage, `"last" is not the number of an import`},
		{"undo 0", statusUsage, `"0" is not the number of an import`},
		{"imports 3", statusUsage, `"3" is left over`},
		{"migrate down --steps 0", statusUsage, "0 is not from 1"},
		{"serve --listen here", statusUsage, `"here" is not an address to listen on; write it as 127.0.0.1:8470`},
		{"serve --listen " + taken, statusFailed, taken + " is in use, perhaps by another standin; choose another with --listen"},
		{"demo --listen " + taken, statusFailed, taken + " is in use"},
		{"models x --database-url :", statusUsage, "the database URL cannot be read"},
		{"migrate up --database-url :", statusUsage, "the database URL cannot be read"},
		{"models x --database-url " + away, statusFailed, "the database cannot be reached"},
		{"fit --brand B --model M --database-url " + away, statusFailed, "the database cannot be reached"},
		{"serve --listen 127.0.0.1:0 --database-url " + away, statusFailed, "the database cannot be reached"},
		{"migrate status --database-url " + away, statusFailed, "the database cannot be reached"},
		{"migrate up --database-url " + away, statusFailed, "the database cannot be reached"},
	} {
		t.Run(c.args, func(t *testing.T) {
			t.Parallel()
			got := run(t, strings.Fields(c.args)...)
			if got.status != c.status {
				t.Errorf("status %d, want %d", got.status, c.status)
			}
			if c.status == statusAnswered {
				if got.stderr != "" || got.stdout == "" {
					t.Errorf("stdout %q, stderr %q; want an answer and no more", got.stdout, got.stderr)
				}
				return
			}
			checkSentence(t, got)
			if !strings.Contains(got.stderr, c.says) {
				t.Errorf("stderr is %q, want it to say %q", got.stderr, c.says)
			}
		})
	}
}

// checkSentence checks that a run failed with one sentence and nothing else.
func checkSentence(t *testing.T, got ran) {
	t.Helper()
	if got.stdout != "" {
		t.Errorf("stdout is %q, want nothing", got.stdout)
	}
	if !strings.HasPrefix(got.stderr, "standin: ") || strings.Count(got.stderr, "\n") != 1 {
		t.Errorf("stderr is %q, want one line that begins with standin:", got.stderr)
	}
	for _, raw := range []string{"dial tcp", "SQLSTATE", "secret", "goroutine", "failed to connect", "pgx"} {
		if strings.Contains(got.stderr, raw) {
			t.Errorf("stderr is %q, and shows %q of a driver", got.stderr, raw)
		}
	}
}

// TestHelp reads the help of every command.
func TestHelp(t *testing.T) {
	t.Parallel()
	var visit func(path []string, c *cli.Command)
	visit = func(path []string, c *cli.Command) {
		got := run(t, append(path, "--help")...)
		if got.status != statusAnswered || !strings.Contains(got.stdout, c.Usage) {
			t.Errorf("%v --help: status %d, says\n%s", path, got.status, got.stdout)
		}
		for _, line := range strings.Split(got.stdout, "\n") {
			if utf8.RuneCountInString(line) > tell.Width {
				t.Errorf("%v --help has a line of more than %d columns:\n%s", path, tell.Width, line)
			}
		}
		for _, sub := range c.Commands {
			visit(append(path[:len(path):len(path)], sub.Name), sub)
		}
	}
	visit(nil, new(program).root())
}

// gone is a reader that has gone away, and a disk that is full.
type gone struct{ err error }

func (g gone) Write([]byte) (int, error) { return 0, g.err }

func TestAnswerCannotBeWritten(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err  error
		says string
	}{
		{syscall.EPIPE, ""},
		{syscall.ENOSPC, "standin: the answer cannot be written: no space left on device\n"},
	} {
		var stderr bytes.Buffer
		status := Run(t.Context(), []string{"standin", "version"}, strings.NewReader(""), gone{c.err}, &stderr)
		if status != statusFailed || stderr.String() != c.says {
			t.Errorf("%v: status %d, stderr %q; want %d, %q", c.err, status, stderr.String(), statusFailed, c.says)
		}
	}
}

// TestStopped cancels before anything is done, as Ctrl-C does.
func TestStopped(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	got := runIn(ctx, "models", "x", "--database-url", "postgres://"+closedPort(t)+"/standin")
	checkSentence(t, got)
	if got.status != statusFailed || !strings.Contains(got.stderr, "stopped before it was done") {
		t.Errorf("status %d, stderr %q", got.status, got.stderr)
	}
}
