package page_test

import (
	"strings"
	"testing"
)

// A page at the bench is small, asks for nothing from elsewhere, and has nothing
// that the policy would stop.
func TestBenchOnTheWire(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for _, address := range []string{"/bench?" + job, "/bench?" + job + "&step=14", "/bench/reading?" + job, "/bench/reading?" + job + wrongRead,
		"/bench/print?" + job, "/identify?family=Pavane" + allRead, "/bench?brand=Fenlask&model=Vask+690&part_number=ZQ-PA-131&revision=C"} {
		page := get(t, handler, address)
		sum := int64(page.Body.Len())
		if page.Code == 200 {
			sum = onTheWire(t, handler, address)
		}
		for _, n := range append(page.all("link[href]"), page.all("script[src]")...) {
			asset := valueOf(n, "href") + valueOf(n, "src")
			if !strings.HasPrefix(asset, "/static/") {
				t.Errorf("%s asks for %s, which is elsewhere", address, asset)
			}
			sum += onTheWire(t, handler, asset)
		}
		if sum > mostOnTheWire {
			t.Errorf("%s: %d bytes on the wire, at most %d", address, sum, mostOnTheWire)
		}
		for _, inline := range []string{"style", "[style]", "[onclick]"} {
			if found := page.all(inline); len(found) > 0 {
				t.Errorf("%s has %d of %s", address, len(found), inline)
			}
		}
		for _, script := range page.all("script") {
			if textOf(script) != "" {
				t.Errorf("%s has a script in it", address)
			}
		}
	}
}
