package api_test

import (
	"compress/gzip"
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"standin/openapi"
)

func TestSecurityHeaders(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, target := range []string{"/v1/families", "/nothing", "/healthz", "/openapi.yaml"} {
		header := get(t, handler, target).Header()
		for name, want := range map[string]string{
			"X-Content-Type-Options":  "nosniff",
			"Referrer-Policy":         "no-referrer",
			"Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
		} {
			if got := header.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", target, name, got, want)
			}
		}
		if header.Get("Cache-Control") == "" || header.Get("X-Request-Id") == "" {
			t.Errorf("%s: Cache-Control or X-Request-Id is missing: %v", target, header)
		}
	}
}

// An id that could forge a line of the log is not taken over.
func TestRequestID(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for id, kept := range map[string]bool{"job-7.A_1": true, "a b": false, "a\"b": false, strings.Repeat("a", 65): false} {
		got := call{target: "/healthz", header: []string{"X-Request-Id", id}}.do(t, handler).Header().Get("X-Request-Id")
		if (got == id) != kept || got == "" {
			t.Errorf("%q became %q", id, got)
		}
	}
}

// RFC 9110, 9.3.2: HEAD is GET without the content, and 9.1: a server has both.
func TestHead(t *testing.T) {
	t.Parallel()
	running := httptest.NewServer(unchecked(t, newCatalogue()))
	t.Cleanup(running.Close)
	server := running.URL
	for _, target := range []string{"/v1/families", "/v1/families/none", "/healthz", "/docs"} {
		head, err := http.Head(server + target)
		if err != nil {
			t.Fatal(err)
		}
		get, err := http.Get(server + target)
		if err != nil {
			t.Fatal(err)
		}
		_ = head.Body.Close()
		_ = get.Body.Close()
		if head.StatusCode != get.StatusCode || head.Header.Get("ETag") != get.Header.Get("ETag") {
			t.Errorf("%s: HEAD %d %q, GET %d %q", target, head.StatusCode, head.Header.Get("ETag"), get.StatusCode, get.Header.Get("ETag"))
		}
	}
}

// Compressed or not, the answer and its weak ETag are the same.
func TestGzip(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	plain := get(t, handler, cachedCall)
	packed := call{target: cachedCall, header: []string{"Accept-Encoding", "gzip"}}.do(t, unchecked(t, newCatalogue()))
	if got := packed.Header().Get("Content-Encoding"); got != "gzip" {
		t.Fatalf("Content-Encoding is %q", got)
	}
	if packed.Header().Get("ETag") != plain.Header().Get("ETag") || !strings.Contains(packed.Header().Get("Vary"), "Accept-Encoding") {
		t.Errorf("headers %v", packed.Header())
	}
	reader, err := gzip.NewReader(packed.Body)
	if err != nil {
		t.Fatal(err)
	}
	var got any
	if err := json.NewDecoder(reader).Decode(&got); err != nil {
		t.Error(err)
	}
}

// The page of the API says everything that the contract does: every call with its
// parameters and answers, every schema, every example as a command. It is whole
// without a script, and what it links to is there.
func TestDocs(t *testing.T) {
	t.Parallel()
	handler := unchecked(t, newCatalogue()) // it links to pages, which the contract does not have
	page := get(t, handler, "/docs")
	if !strings.Contains(page.Header().Get("Content-Type"), "text/html") || strings.Contains(page.Header().Get("Content-Security-Policy"), "unsafe") {
		t.Errorf("headers %v", page.Header())
	}
	text := html.UnescapeString(page.Body.String())
	document := strictContract(t).document
	for path, item := range document.Paths.Map() {
		for method, o := range item.Operations() {
			for _, want := range []string{`id="` + o.OperationID + `"`, `href="#` + o.OperationID + `"`, "<b class=\"method\">" + method + `</b> <span class="number">` + path, o.Summary} {
				if !strings.Contains(text, want) {
					t.Errorf("%s is not on the page: %s", o.OperationID, want)
				}
			}
			for _, p := range o.Parameters {
				if p.Value.Example != nil && p.Value.In == "query" && !strings.Contains(text, fmt.Sprintf("--data-urlencode '%s=%v'", p.Value.Name, p.Value.Example)) {
					t.Errorf("%s: no command has %s=%v", o.OperationID, p.Value.Name, p.Value.Example)
				}
			}
		}
	}
	for name := range document.Components.Schemas {
		if !strings.Contains(text, `id="shape-`+name+`"`) {
			t.Errorf("%s is not on the page", name)
		}
	}
	for _, link := range regexp.MustCompile(`(?:src|href)="([^"]+)"`).FindAllStringSubmatch(text, -1) {
		if at, inner := strings.CutPrefix(link[1], "#"); inner {
			if !strings.Contains(text, `id="`+at+`"`) {
				t.Errorf("%s leads nowhere", link[1])
			}
		} else if got := get(t, handler, link[1]); got.Code != http.StatusOK || got.Body.Len() == 0 {
			t.Errorf("%s: status %d", link[1], got.Code)
		}
	}
	if strings.Contains(text, "{{") || strings.Contains(text, "<nil>") || strings.Contains(text, "**") {
		t.Error("something on the page was not put in words")
	}
	contract := get(t, handler, "/openapi.yaml")
	if contract.Header().Get("Content-Type") != "application/yaml" || contract.Body.String() != string(openapi.YAML) {
		t.Errorf("the contract comes as %q, %d bytes", contract.Header().Get("Content-Type"), contract.Body.Len())
	}
}
