package locale_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"standin/api/locale"
)

// Sentences of the core and of pages are said whole, with what was put into them as it
// was; what has no form stays as it is.
func TestSay(t *testing.T) {
	t.Parallel()
	for english, want := range map[string]string{
		"":      "",
		"12 V":  "12 V",
		"Find":  "Suchen",
		" Back": " Zurück",
		"Must not be supplied: smoke of the relay. See note 4; recall.":         "Darf nicht ausgeliefert werden: smoke of the relay. See note 4; recall.",
		"the build needs delay, turbidity; the board has none":                  "die Ausführung braucht delay, turbidity; die Platine hat keine",
		"With adaptor L-1 every plug of wide has a header of its own on split.": "Mit Adapterkabel L-1 hat jeder Stecker von wide seinen eigenen Steckplatz auf split.",
		"Pump draws 0.39 to 0.78 A of 2 A; fan draws 0.1 A of 1 A.":             "Pump nimmt 0.39 bis 0.78 A von 2 A auf; fan nimmt 0.1 A von 1 A auf.",
		"2 new and 1 used at front, 4 new at store":                             "2 neu und 1 gebraucht in front, 4 neu in store",
		"dishwasher · 230 V · made 2001-03-01 to 2003-05-31":                    "dishwasher · 230 V · gebaut 2001-03-01 bis 2003-05-31",
		"At most 0.3\u00a0Ω up to 5\u00a0m of cord up to 1.5\u00a0mm², 0.1\u00a0Ω more for each further 7.5\u00a0m begun, never above 1.0\u00a0Ω.": "" +
			"Höchstens 0.3\u00a0Ω bis 5\u00a0m Leitung bis 1.5\u00a0mm², 0.1\u00a0Ω mehr je weitere angefangene 7.5\u00a0m, nie über 1.0\u00a0Ω.",
		// No half of a sentence is said.
		"The build needs delay; the moon has none.":        "The build needs delay; the moon has none.",
		"The display is dark and then shows Filter alone.": "The display is dark and then shows Filter alone.",
		"must not be used": "must not be used",
	} {
		if got := locale.German.Say(english); got != want {
			t.Errorf("%q: %q, want %q", english, got, want)
		}
		if got := (locale.Language{}).Say(english); got != english {
			t.Errorf("%q in English: %q", english, got)
		}
	}
}

// What is typed cannot keep a page waiting, however it looks.
func TestSayEndsSoon(t *testing.T) {
	t.Parallel()
	for _, part := range []string{"adaptor a, ", "1 new at a, ", "a; ", "build b and ", "is lit, ", "a: b (c) "} {
		locale.German.Say(strings.Repeat(part, 1400/len(part)))
	}
}

// A page is said text by text; what is markup, a number or a script stays.
func TestPage(t *testing.T) {
	t.Parallel()
	const english = `<html lang="en"><title>Find</title><p class="number">Back</p><p title="Back">Back <b>none</b></p><kbd>Enter</kbd>` +
		`<script>var Back = "Find";</script><span translate="no">Back<i>Back</i></span><a href="/Back">Back</a><p>“Nothing looks like “&lt;b&gt;”</p>`
	const want = `<html lang="de"><title>Suchen</title><p class="number">Back</p><p title="Zurück">Zurück <b>keine</b></p><kbd>Enter</kbd>` +
		`<script>var Back = "Find";</script><span translate="no">Back<i>Back</i></span><a href="/Back">Zurück</a><p>“Nothing looks like “&lt;b&gt;”</p>`
	if got := string(locale.German.Page([]byte(english))); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if got := string((locale.Language{}).Page([]byte(english))); got != english {
		t.Errorf("in English: %s", got)
	}
	if got := string(locale.German.Page([]byte(`<h1>Nothing looks like “&lt;script&gt;”</h1>`))); got != `<h1>Nichts ähnelt „&lt;script&gt;“</h1>` {
		t.Errorf("markup that was typed: %s", got)
	}
}

// Languages are matched as RFC 4647 and BCP 47 have it; a choice goes before.
func TestOfRequest(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ header, cookie, want string }{
		{"", "", "en"}, {"de", "", "de"}, {"de-AT", "", "de"}, {"DE-ch;q=0.8", "", "de"}, {"en-GB,de;q=0.9", "", "en"}, {"fr,de;q=0.5", "", "de"},
		{"fr", "", "en"}, {"*", "", "en"}, {"de;q=0", "", "en"}, {"not a header;;", "", "en"}, {"de", "en", "en"}, {"en", "de", "de"}, {"de", "tlh", "de"},
	} {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil)
		r.Header.Set("Accept-Language", test.header)
		if test.cookie != "" {
			r.AddCookie(&http.Cookie{Name: locale.Cookie, Value: test.cookie})
		}
		if got := locale.OfRequest(r).String(); got != test.want {
			t.Errorf("%+v: %s", test, got)
		}
	}
}

// A form has the same holes in both languages.
func TestFormsAreChecked(t *testing.T) {
	t.Parallel()
	for _, test := range [][2]string{
		{"a {part}", "b"}, {"a", "b {part}"}, {"{a}{b}", "{a}{b}"}, {"{a} {a}", "{a}"}, {"a {b", "a"}, {"a }", "a"}, {"a {}", "a {}"},
	} {
		if err := locale.CheckForm(test[0], test[1]); err == nil {
			t.Errorf("%q", test)
		}
	}
	if err := locale.CheckForm("{a} of {#b}", "{b} von {a} und {a}"); err != nil {
		t.Error(err)
	}
}
