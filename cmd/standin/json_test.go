package main

import (
	"encoding/json"
	"testing"
)

// Who asks for JSON gets JSON, also where there is no answer: the problem that
// the API would answer with. What people read on stderr and the exit status stay.
func TestProblemAsJSON(t *testing.T) {
	t.Parallel()
	database := loaded(t)
	for _, c := range []struct {
		args   []string
		status int
		kind   string
		nearby bool
	}{
		{[]string{"fit", "--json", "--brand", "Corvane", "--model", "DW 64O"}, statusFailed, "/problems/unknown-model", true},
		{[]string{"fit", "--json", "Corvane", "DW"}, statusFailed, "/problems/unknown-model", true},
		{[]string{"board", "--json", "no-such-part"}, statusFailed, "/problems/not-found", false},
		{[]string{"family", "--json", "no-such-family"}, statusFailed, "/problems/not-found", false},
		{[]string{"verify", "--json", "--family", "no-such-family", "--code", "A", "1"}, statusFailed, "/problems/not-found", false},
	} {
		got := run(t, append(c.args, "--database-url", database)...)
		var p struct {
			Type, Detail string
			Candidates   []struct{ Brand string }
		}
		if err := json.Unmarshal([]byte(got.stdout), &p); err != nil {
			t.Errorf("%q prints no JSON: %v: %q", c.args, err, got.stdout)
			continue
		}
		if got.status != c.status || p.Type != c.kind || p.Detail == "" || (len(p.Candidates) > 0) != c.nearby || got.stderr == "" {
			t.Errorf("%q: status %d, stderr %q, %s", c.args, got.status, got.stderr, got.stdout)
		}
	}
}
