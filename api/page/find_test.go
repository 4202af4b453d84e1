package page_test

import (
	"net/http"
	"strings"
	"testing"
)

// What is typed leads to the one thing that is meant.
func TestFindLeads(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for typed, want := range map[string]string{
		"ZQ-PA-118":           "/board?part_number=ZQ-PA-118&location=front", // a part number
		"zq pa 118":           "/board?part_number=ZQ-PA-118&location=front", // without case and punctuation
		"2178410287002":       "/board?part_number=ZQ-PA-118&location=front", // its GTIN
		"02178410287002":      "/board?part_number=ZQ-PA-118&location=front", // the same with a zero before it
		"P3977-20":            "/board?part_number=ZQ-PA-118&location=front", // a marking
		"zq lm 101":           "/board?part_number=ZQ-LM-101&location=front", // an adaptor
		"Fenlask Vask 690":    "/fits?brand=Fenlask&model=Vask+690&location=front",
		"vask690":             "/fits?brand=Fenlask&model=Vask+690&location=front",
		"  Fenlask vask-690 ": "/fits?brand=Fenlask&model=Vask+690&location=front",
		"vask 69":             "/fits?brand=Fenlask&model=Vask+690&location=front", // nothing else begins so
		"ZQ-GA-31":            "/board?part_number=ZQ-GA-310&location=front",
	} {
		page := get(t, handler, "/?location=front&q="+strings.ReplaceAll(typed, " ", "+"))
		if got := page.Header().Get("Location"); page.Code != http.StatusSeeOther || got != want {
			t.Errorf("%q: status %d, leads to %q, want %q", typed, page.Code, got, want)
		}
	}
}

// What may be several things is listed, and so is what is only near.
func TestFindLists(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	tests := []struct {
		typed  string
		status int
		want   string // a link that must be there; empty: there is none at all
		says   string
	}{
		{"ukh", 200, "/fits?brand=Ukkelholt&model=UKH+6010", "What is meant by “ukh”?"},
		{"Va5k 69O", 200, "/fits?brand=Fenlask&model=Vask+690", "dishwasher"},
		{"Vask 640", 200, "/fits?brand=Fenlask&model=Vask+640&variant=K07", "Fenlask Vask 640 / K03"},
		{"zq-pa", 200, "/board?part_number=ZQ-PA-131", "Dishwasher control, split load plugs"},
		{"WLD 1", 200, "/fits?brand=Wexilund&model=WLD+11", "the same appliance as"},
		{"2178410287003", 404, "", "As a GTIN this is misread: its check digit is 3, and the other digits give 2."},
		{"qqqqqq", 404, "", "Nothing looks like “qqqqqq”"},
	}
	for _, tt := range tests {
		for _, path := range []string{"/", "/suggest"} {
			page := get(t, handler, path+"?q="+strings.ReplaceAll(tt.typed, " ", "+"))
			if page.Code != tt.status || !strings.Contains(page.text("main"), tt.says) {
				t.Errorf("%s %q: status %d, want %d; says %q, want %q", path, tt.typed, page.Code, tt.status, page.text("main"), tt.says)
				continue
			}
			if got := len(page.all(".matches a")); (got > 0) != (tt.want != "") || tt.want != "" && len(page.all(".matches a[href="+tt.want+"]")) != 1 {
				t.Errorf("%s %q: %d links, want one to %q", path, tt.typed, got, tt.want)
			}
			if got := valueOf(page.one("#q"), "value"); got != tt.typed {
				t.Errorf("%s: the field has %q, want %q", path, got, tt.typed)
			}
		}
	}
}

// For the script, the same as lines of a listbox.
func TestSuggestFragment(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	page := get(t, handler, "/suggest?q=vask+6&location=front&fragment=true")
	if strings.Contains(page.Body.String(), "<html") {
		t.Error("it is a whole page")
	}
	if got := page.text(".more"); got != "3 more…" || !strings.HasPrefix(valueOf(page.one(".more"), "data-href"), "/suggest?q=vask+6&location=front") {
		t.Errorf("of those that do not fit in it says %q", got)
	}
	lines := page.all("[role=option]")
	if len(lines) != 7 || valueOf(lines[0], "data-href") != "/fits?brand=Fenlask&model=Vask+610&location=front" {
		t.Errorf("%d lines; %s", len(lines), page.Body)
	}
	if got := get(t, handler, "/suggest?q=&fragment=true"); got.Code != http.StatusOK || strings.TrimSpace(got.Body.String()) != "" {
		t.Errorf("for nothing typed: %d %q", got.Code, got.Body)
	}
}

// An adaptor has a page with its plugs and its stock.
func TestAdaptorPage(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), "/board?part_number=ZQ-LM-101&location=front")
	if page.Code != http.StatusOK {
		t.Fatalf("status %d: %s", page.Code, page.Body)
	}
	for _, said := range []string{"ZQ-LM-101", "an adaptor", "Accepts", "Presents", "10-way"} {
		if !strings.Contains(page.Body.String(), said) {
			t.Errorf("the page does not say %q", said)
		}
	}
}
