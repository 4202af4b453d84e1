package page

import (
	"html/template"
	"testing"
)

// Text is escaped as html/template does it.
func TestMarkupText(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "plain", "<b>", `a "b" & 'c'`, "&amp;", "x\x00y", "é<ü", "<<>>", "a > b"} {
		var m markup
		m.text(text)
		if got, want := string(m.done()), template.HTMLEscapeString(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
