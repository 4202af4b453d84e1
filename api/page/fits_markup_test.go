package page

import "testing"

// Text closes no tag and no quoted attribute.
func TestMarkupText(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"": "", "plain": "plain", "é<ü": "é&lt;ü", "<<>>": "&lt;&lt;&gt;&gt;", "&amp;": "&amp;amp;",
		`a "b" & 'c'`: "a &#34;b&#34; &amp; &#39;c&#39;", "x\x00y": "x\uFFFDy",
	} {
		var m markup
		m.text(text)
		if got := string(m.done()); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
