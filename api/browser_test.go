package api_test

import (
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"io"
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

// The files of the page are kept compressed; they are not compressed twice.
func TestGzipOfDocs(t *testing.T) {
	t.Parallel()
	handler := unchecked(t, newCatalogue())
	packed := call{target: "/docs/swagger-ui.css", header: []string{"Accept-Encoding", "gzip"}}.do(t, handler)
	reader, err := gzip.NewReader(packed.Body)
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(reader)
	if err != nil || string(got) != get(t, handler, "/docs/swagger-ui.css").Body.String() {
		t.Errorf("%v: %d bytes that are not the file", err, len(got))
	}
}

var (
	scripts = regexp.MustCompile(`(?s)<script>(.*?)</script>`)
	assets  = regexp.MustCompile(`(?:src|href)="([^"]+)"`)
)

// The page has all it needs in the program, and its policy lets exactly its own
// scripts run (CSP Level 3, 8.3: the hash of the text between the tags).
func TestDocs(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	page := get(t, handler, "/docs")
	policy := page.Header().Get("Content-Security-Policy")
	if !strings.Contains(page.Header().Get("Content-Type"), "text/html") || strings.Contains(policy, "script-src 'self' 'unsafe-inline'") {
		t.Errorf("headers %v", page.Header())
	}
	inline := scripts.FindAllStringSubmatch(page.Body.String(), -1)
	if len(inline) == 0 {
		t.Error("the page has no inline script; then this check is idle")
	}
	for _, script := range inline {
		sum := sha256.Sum256([]byte(script[1]))
		if want := "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.Contains(policy, want) {
			t.Errorf("the policy %q lacks %s", policy, want)
		}
	}
	links := assets.FindAllStringSubmatch(page.Body.String(), -1)
	if len(links) < 3 {
		t.Errorf("the page has %d assets", len(links))
	}
	for _, link := range links {
		if got := get(t, handler, link[1]); !strings.HasPrefix(link[1], "/docs/") || got.Code != http.StatusOK || got.Body.Len() == 0 {
			t.Errorf("%s: status %d", link[1], got.Code)
		}
	}
	contract := get(t, handler, "/openapi.yaml")
	if contract.Header().Get("Content-Type") != "application/yaml" || contract.Body.String() != string(openapi.YAML) {
		t.Errorf("the contract comes as %q, %d bytes", contract.Header().Get("Content-Type"), contract.Body.Len())
	}
}

func TestDocsHaveNoOtherFiles(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, target := range []string{"/docs/nothing.js", "/docs/..%2f..%2fgo.mod", "/docs/../../go.mod"} {
		if got := get(t, handler, target); got.Code != http.StatusNotFound {
			t.Errorf("%s: status %d", target, got.Code)
		}
	}
}
