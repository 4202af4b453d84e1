package page_test

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// mostOnTheWire is what the first page may have with its style, script and icon.
const mostOnTheWire = 40 << 10

func TestFirstPageOnTheWire(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for _, address := range []string{"/", "/fits?brand=Fenlask&model=Vask+690&location=front"} {
		page := get(t, handler, address)
		assets := []string{address}
		for _, n := range append(page.all("link[href]"), page.all("script[src]")...) {
			asset := valueOf(n, "href") + valueOf(n, "src")
			if !strings.HasPrefix(asset, "/static/") {
				t.Errorf("%s asks for %s, which is elsewhere", address, asset)
			}
			assets = append(assets, asset)
		}
		if len(assets) != 4 {
			t.Errorf("%s has the assets %v, want a style sheet, a script and an icon", address, assets[1:])
		}
		var sum int64
		for _, asset := range assets {
			sum += onTheWire(t, handler, asset)
		}
		t.Logf("%s: %d bytes", address, sum)
		if sum > mostOnTheWire {
			t.Errorf("%s: %d bytes on the wire, at most %d", address, sum, mostOnTheWire)
		}
	}
}

// onTheWire is how many bytes are sent for an address to a browser.
func onTheWire(t *testing.T, handler http.Handler, address string) int64 {
	t.Helper()
	request := httptest.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	request.Header.Set("Accept-Encoding", "gzip")
	recorded := httptest.NewRecorder()
	handler.ServeHTTP(recorded, request)
	size := int64(recorded.Body.Len())
	if recorded.Header().Get("Content-Encoding") == "gzip" {
		reader, err := gzip.NewReader(recorded.Body)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, reader); err != nil {
			t.Errorf("%s: %v", address, err)
		}
	}
	if recorded.Code != http.StatusOK || size == 0 {
		t.Errorf("%s: status %d, %d bytes", address, recorded.Code, size)
	}
	return size
}

func TestPolicy(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for _, address := range []string{"/", "/nothing", "/fits?brand=Fenlask&model=Vask+690", "/board?part_number=ZQ-PA-118"} {
		page := get(t, handler, address)
		policy := page.Header().Get("Content-Security-Policy")
		if !strings.HasPrefix(policy, "default-src 'none'; script-src 'self'; style-src 'self';") || strings.Contains(policy, "unsafe") {
			t.Errorf("%s: the policy is %q", address, policy)
		}
		for _, inline := range []string{"style", "[style]", "[onclick]"} {
			if found := page.all(inline); len(found) > 0 {
				t.Errorf("%s has %d of %s, which the policy stops", address, len(found), inline)
			}
		}
		for _, script := range page.all("script") {
			if textOf(script) != "" {
				t.Errorf("%s has a script within it", address)
			}
		}
	}
}

// A file may be kept for good at the address that its contents make, and at no
// other.
func TestStaticIsKept(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	address := valueOf(get(t, handler, "/").one("link[rel=stylesheet]"), "href")
	if got := get(t, handler, address).Header().Get("Cache-Control"); !strings.Contains(got, "immutable") {
		t.Errorf("%s is kept as %q", address, got)
	}
	if got := get(t, handler, "/static/standin.css?v=old").Header().Get("Cache-Control"); strings.Contains(got, "immutable") {
		t.Errorf("an older address is kept as %q", got)
	}
}
