package table

import (
	"errors"
	"io/fs"
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

// Errors of the file system as faults.
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
			t.Errorf("%v becomes %+v", c.err, f)
		}
	}
}
