package api_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"standin"
	"standin/api"
)

// guarded is a service where reading needs a token.
func guarded(t *testing.T, publicURL string, more ...func(tokens)) http.Handler {
	t.Helper()
	known := newTokens()
	for _, change := range more {
		change(known)
	}
	handler, err := api.New(api.Config{Catalogue: newCatalogue(), Tokens: known, Guarded: true, PublicURL: publicURL})
	if err != nil {
		t.Fatal(err)
	}
	return handler
}

// browse is a browser's request, with headers in pairs; a form where there is one.
func browse(t *testing.T, handler http.Handler, method, target string, form url.Values, header ...string) *http.Response {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), method, "http://standin.example"+target, strings.NewReader(form.Encode()))
	r.Header.Set("Accept", "text/html")
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		r.Header.Set("Origin", "http://standin.example")
	}
	for i := 0; i < len(header); i += 2 {
		if r.Header.Del(header[i]); header[i+1] != "" {
			r.Header.Set(header[i], header[i+1])
		}
	}
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, r)
	return w.Result()
}

func TestSignIn(t *testing.T) {
	t.Parallel()
	handler := guarded(t, "")
	const page = "/fits?brand=Wexcombe&model=DW+410"
	sent := browse(t, handler, "GET", page, nil)
	to, _ := url.Parse(sent.Header.Get("Location"))
	if sent.StatusCode != http.StatusSeeOther || to.Path != "/sign-in" || to.Query().Get("to") != page {
		t.Fatalf("status %d, to %s", sent.StatusCode, to)
	}
	if got := browse(t, handler, "GET", to.RequestURI(), nil); got.StatusCode != http.StatusOK {
		t.Errorf("the page that asks: status %d", got.StatusCode)
	}
	if got := browse(t, handler, "POST", "/sign-in", url.Values{"token": {"wrong"}}); got.StatusCode != http.StatusUnauthorized || len(got.Cookies()) != 0 {
		t.Errorf("a wrong token: status %d, %v", got.StatusCode, got.Cookies())
	}
	in := browse(t, handler, "POST", "/sign-in", url.Values{"token": {" read "}, "to": {page}})
	if in.StatusCode != http.StatusSeeOther || in.Header.Get("Location") != page || len(in.Cookies()) != 1 {
		t.Fatalf("status %d, to %s, %v", in.StatusCode, in.Header.Get("Location"), in.Cookies())
	}
	// RFC 6265bis, 4.1.2.
	c := in.Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.MaxAge < 3600 || c.MaxAge > 12*3600 || c.Secure {
		t.Errorf("the cookie is %s", in.Header.Get("Set-Cookie"))
	}
	cookie := c.Name + "=" + c.Value
	for _, target := range []string{page, "/", "/v1/families", "/v1/sheets.pdf?brand=Wexcombe&model=DW+410&plug=6+2+2&part_number=70-1002"} {
		if got := browse(t, handler, "GET", target, nil, "Cookie", cookie); got.StatusCode != http.StatusOK {
			t.Errorf("%s with the cookie: status %d", target, got.StatusCode)
		}
	}
	if got := browse(t, handler, "GET", page, nil, "Cookie", c.Name+"=gone"); got.StatusCode != http.StatusSeeOther {
		t.Errorf("with a cookie that counts no more: status %d", got.StatusCode)
	}
	out := browse(t, handler, "POST", "/sign-out", url.Values{}, "Cookie", cookie)
	if out.StatusCode != http.StatusSeeOther || len(out.Cookies()) != 1 || out.Cookies()[0].MaxAge >= 0 {
		t.Errorf("signed out: status %d, %v", out.StatusCode, out.Cookies())
	}
}

// A cookie lasts no longer than its token, and goes over TLS alone where there is TLS.
func TestSignInCookie(t *testing.T) {
	t.Parallel()
	soon := func(known tokens) {
		known["soon"] = standin.Token{ID: 9, Name: "soon", Scopes: []standin.Scope{"read"}, Expires: time.Now().Add(time.Minute)}
	}
	got := browse(t, guarded(t, "https://standin.example", soon), "POST", "/sign-in", url.Values{"token": {"soon"}})
	if c := got.Cookies(); len(c) != 1 || !c[0].Secure || c[0].MaxAge > 60 {
		t.Errorf("the cookie is %s", got.Header.Get("Set-Cookie"))
	}
}

// Forms that another site sends are refused, whatever cookie comes with them.
func TestForgedForms(t *testing.T) {
	t.Parallel()
	handler := guarded(t, "")
	for _, target := range []string{"/sign-in", "/sign-out"} {
		for name, header := range map[string][]string{
			"another site":                    {"Sec-Fetch-Site", "cross-site", "Origin", "https://evil.example"},
			"another host of the same site":   {"Sec-Fetch-Site", "same-site", "Origin", "https://other.standin.example"},
			"another site, an older browser":  {"Sec-Fetch-Site", "", "Origin", "https://evil.example"},
			"a page that hides where it is":   {"Sec-Fetch-Site", "cross-site", "Origin", "null"},
			"another port of the same server": {"Sec-Fetch-Site", "", "Origin", "http://standin.example:8080"},
		} {
			got := browse(t, handler, "POST", target, url.Values{"token": {"read"}}, append(header, "Cookie", "standin=read")...)
			if got.StatusCode != http.StatusForbidden || len(got.Cookies()) != 0 {
				t.Errorf("%s by %s: status %d, %v", target, name, got.StatusCode, got.Cookies())
			}
		}
	}
}

// A cookie lets a browser read. What changes something takes the token itself.
func TestCookieChangesNothing(t *testing.T) {
	t.Parallel()
	handler := guarded(t, "")
	for _, c := range []call{
		{method: "POST", target: "/v1/holds", body: "{}"}, {method: "POST", target: "/v1/stock/moves", body: "{}"},
		{method: "PUT", target: "/v1/stock/front", body: "{}"}, {method: "DELETE", target: "/v1/holds/1"}, {method: "POST", target: "/v1/fits", body: oneMachine},
	} {
		c.header = []string{"Cookie", "standin=admin"}
		if got := c.do(t, handler); got.Code != http.StatusUnauthorized {
			t.Errorf("%s %s with a cookie: status %d", c.method, c.target, got.Code)
		}
	}
}

func TestGoesOnWithinTheService(t *testing.T) {
	t.Parallel()
	handler := guarded(t, "")
	for to, want := range map[string]string{
		"/fits?brand=a": "/fits?brand=a", "": "/", "https://evil.example/": "/", "//evil.example": "/", `/\evil.example`: "/",
		"javascript:alert(1)": "/", "evil": "/", "/\tevil": "/", "/sign-in?to=/": "/", "/%2f%2fevil.example": "/%2f%2fevil.example",
	} {
		if got := browse(t, handler, "POST", "/sign-in", url.Values{"token": {"read"}, "to": {to}}).Header.Get("Location"); got != want {
			t.Errorf("%q leads to %q, want %q", to, got, want)
		}
	}
}
