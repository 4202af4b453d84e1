package standin

import (
	"net/url"
	"testing"

	"pgregory.net/rapid"
)

func TestModelKeyText(t *testing.T) {
	t.Parallel()
	for key, want := range map[ModelKey]string{
		{Brand: "Wexcombe", Model: "DW 410"}:                  "Wexcombe~DW.20410",
		{Brand: "Harrowden", Model: "HD 41", Variant: "UK"}:   "Harrowden~HD.2041~UK",
		{Brand: "Ä", Model: "1/2-3_4.5~6"}:                    ".C3.84~1.2F2-3_4.2E5.7E6",
		{Brand: "Ondara", Model: "WD 300", Variant: "B/2 ~."}: "Ondara~WD.20300~B.2F2.20.7E.2E",
	} {
		if got := key.Text(); got != want {
			t.Errorf("%+v: %q, want %q", key, got, want)
		}
	}
	for _, text := range []string{"", "~", "a", "a~", "~b", "a~b~", "a~b~c~d", "a~b.2", "a~b.zz", "a~b.2f", "a~b.41", "a~b c", "a~b.FF", "a~.C3"} {
		if key, err := ParseModelKey(text); err == nil {
			t.Errorf("%q is read as %+v", text, key)
		}
	}
}

// Every key is read back from its text, which stands in an address as it is (RFC
// 3986, 2.3), and no two keys have the same.
func TestModelKeyTextRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		part := rapid.StringMatching(`[A-Za-z0-9 ./~_äß-]{1,6}`)
		key := ModelKey{Brand: part.Draw(t, "brand"), Model: part.Draw(t, "model"), Variant: rapid.OneOf(rapid.Just(""), part).Draw(t, "variant")}
		text := key.Text()
		if got, err := ParseModelKey(text); err != nil || got != key {
			t.Errorf("%q is read as %+v, %v; it is of %+v", text, got, err, key)
		}
		if escaped := url.PathEscape(text); escaped != text {
			t.Errorf("%q becomes %q in an address", text, escaped)
		}
	})
}
