package table

import (
	"errors"
	"io/fs"
	"strings"
	"testing"

	"standin"
)

func TestTrim(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"a b", " a b\t", "\u00a0a b\u202f", "\u200ba b\u200d", "\ufeffa b\u2060", "\r\na b\n", "\u200ca b\u3000"} {
		if got := Trim(text); got != "a b" {
			t.Errorf("trim(%q) = %q", text, got)
		}
	}
}

func TestNearest(t *testing.T) {
	t.Parallel()
	words := []string{"heating", "motor", "other"}
	for text, want := range map[string]string{
		"heatnig": "heating", "motro": "motor", "MOTER": "motor", "moth": "", "": "", "x": "",
		strings.Repeat("heating", 20): "",
	} {
		if got := Nearest(text, words); got != want {
			t.Errorf("nearest(%q) = %q, want %q", text, got, want)
		}
	}
	if got := Nearest("cat", []string{"bat", "hat"}); got != "" {
		t.Errorf("of two as near, %s is taken", got)
	}
}

func TestLookalike(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ symbol, selector, want string }{
		{"O", "0 1", "0"}, {"l", "0 1", "1"}, {"I", "1 2", "1"}, {"5", "R S", "S"}, {"8", "A B", "B"}, {"Z", "1 2", "2"},
		{"a", "A B", "A"}, {"x", "X x1", "X"}, {"L", "1 2", ""}, {"q", "A B", ""}, {"o", "O 0", "O"}, {"ab", "AB aB", ""},
	} {
		if got := Lookalike(c.symbol, strings.Fields(c.selector)); got != c.want {
			t.Errorf("lookalike(%s, %s) = %q, want %q", c.symbol, c.selector, got, c.want)
		}
	}
}

// Errors of the file system as they are told.
func TestFaultOf(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err  error
		want string
	}{
		{&fs.PathError{Op: "open", Path: "x", Err: fs.ErrPermission}, "the file may not be read; ask its owner for permission to read it"},
		{errors.New("input/output error"), "the file cannot be read to its end: input/output error"},
	} {
		if f := FaultOf(c.err); f.Message != c.want || f.Code != standin.UnreadableFile || !f.Ends {
			t.Errorf("%v is told as %+v", c.err, f)
		}
	}
}
