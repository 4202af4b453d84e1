package api_test

import (
	"net/http"
	"strings"
	"testing"
)

const cachedCall = "/v1/fits?brand=Wexcombe&model=DW+410"

// RFC 9110, 13.1.2 and 15.4.5: a GET whose If-None-Match lists the ETag, by weak
// comparison (8.8.3.2), is answered 304 with that ETag and no content.
func TestNotModified(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	tag := get(t, handler, cachedCall).Header().Get("ETag")
	if !strings.HasPrefix(tag, `W/"`) {
		t.Fatalf("ETag is %q", tag)
	}
	for _, c := range []struct {
		name, have string
		status     int
	}{
		{"the tag", tag, 304},
		{"the tag as a strong one", strings.TrimPrefix(tag, "W/"), 304},
		{"the tag among others", `"x", ` + tag + `,W/"y"`, 304},
		{"another tag", `W/"0123"`, 200},
		{"a part of the tag", tag[:len(tag)-2] + `"`, 200},
		{"none", "", 200},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := call{target: cachedCall, header: []string{"If-None-Match", c.have}}.do(t, handler)
			if got.Code != c.status {
				t.Errorf("status %d, want %d", got.Code, c.status)
			}
			if got.Header().Get("ETag") != tag {
				t.Errorf("ETag %q, want %q", got.Header().Get("ETag"), tag)
			}
			if (got.Body.Len() == 0) != (c.status == 304) {
				t.Errorf("a body of %d bytes", got.Body.Len())
			}
		})
	}
}

func TestETagChangesWith(t *testing.T) {
	t.Parallel()
	base := newCatalogue()
	tag := get(t, newAPI(t, base), cachedCall).Header().Get("ETag")
	for name, change := range map[string]func(*catalogue) string{
		"the catalogue": func(c *catalogue) string { c.state.Catalogue++; return cachedCall },
		"the stock":     func(c *catalogue) string { c.state.Stock++; return cachedCall },
		"the question":  func(*catalogue) string { return cachedCall + "&plug=10" },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := newCatalogue()
			target := change(c)
			got := call{target: target, header: []string{"If-None-Match", tag}}.do(t, newAPI(t, c))
			if got.Code != http.StatusOK || got.Header().Get("ETag") == tag {
				t.Errorf("status %d, ETag %q as before", got.Code, got.Header().Get("ETag"))
			}
		})
	}
}

// RFC 9110, 13.2.1: conditions count only where the answer would be a success.
func TestNoConditionOnAProblem(t *testing.T) {
	t.Parallel()
	got := call{target: "/v1/fits?brand=No&model=One", header: []string{"If-None-Match", "*"}}.do(t, newAPI(t, newCatalogue()))
	if got.Code != http.StatusNotFound || got.Header().Get("ETag") != "" {
		t.Errorf("status %d, ETag %q", got.Code, got.Header().Get("ETag"))
	}
}
