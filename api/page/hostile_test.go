package page_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// hostile are names that would do harm if they were taken for HTML, for a script
// or for an address.
var hostile = []string{
	`<script>window.harmed=1</script>`, `"><img src=x onerror=window.harmed=1>`, `' onfocus=window.harmed=1 autofocus x='`,
	`javascript:window.harmed=1`, `{{.Typed}}`, `</title></style></textarea><svg onload=window.harmed=1>`, `a&b=c#d?e%00f+g`, "\u202elanruoj",
}

// hostileBundle has them wherever a bundle takes free text.
func hostileBundle(t *testing.T) string {
	files := map[string][][]string{
		"families":       {{"family", "title", "selector", "code_length", "readback", "procedure"}},
		"procedures":     {{"procedure", "phase", "step", "do", "expect"}},
		"layouts":        {{"layout", "connector", "ways", "pitch_mm", "key"}},
		"boards":         {{"part_number", "family", "title"}},
		"markings":       {{"marking", "part_number", "revision", "note"}},
		"revisions":      {{"part_number", "revision", "issue", "layout", "stop"}},
		"models":         {{"brand", "model", "variant", "kind", "volts", "hertz"}},
		"builds":         {{"brand", "model", "variant", "build", "part_number", "layout", "made_from", "made_to"}},
		"loads":          {{"brand", "model", "variant", "circuit", "watts", "element"}},
		"configurations": {{"family", "brand", "model", "variant", "issue_from", "code", "pattern", "source"}},
		"sources":        {{"source", "title"}},
		"supersessions":  {{"old_part", "new_part", "note"}},
		"stock":          {{"location", "part_number", "revision", "condition", "quantity"}},
	}
	add := func(file string, cells ...string) { files[file] = append(files[file], cells) }
	for i, h := range hostile {
		n := string(rune('0' + i))
		add("sources", h+n, h)
		add("procedures", h+n, "enter", "1", h, h)
		add("families", h+n, h, "A B", "2", "L1 L2", h+n)
		add("layouts", h+n, h, "4", "5", h)
		add("layouts", h+"x"+n, h, "6", "5", h)
		add("boards", h+n, h+n, h)
		add("boards", h+"x"+n, "", h)
		add("markings", h+"m"+n, h+n, h, h)
		add("revisions", h+n, h, "1", h+n, "")
		add("revisions", h+"x"+n, h, "1", h+n, h)
		add("models", h+n, h, h, h, "230", "50")
		add("builds", h+n, h, h, h+"1", h+"x"+n, h+n, "2000", "2003")
		add("builds", h+n, h, h, h+"2", h+n, h+"x"+n, "2004", "2008")
		add("loads", h+n, h, h, "c"+n, "2000", "heating")
		add("configurations", h+n, h+n, h, h, "", "AB", "10", h+n)
		add("supersessions", h+"x"+n, h+n, h)
		add("stock", h+n, h+n, h, "new", "2")
		add("stock", h+n, h+n, "", "used", "1")
	}
	return bundle(t, files)
}

// Whatever a bundle or a person wrote stays text.
func TestHostileNames(t *testing.T) {
	t.Parallel()
	handler := over(t, imported(t, hostileBundle(t)))
	b := open(t, handler, desktop, "/")
	for i, h := range hostile {
		n := string(rune('0' + i))
		machine := ask("brand", h+n, "model", h, "variant", h)
		for name, address := range map[string]string{
			"answer":       machine + "&all=true&location=" + url.QueryEscape(h+n),
			"evidence":     machine + "&old_part=" + url.QueryEscape(h) + "&serial=" + url.QueryEscape(h),
			"not read":     machine + "&made=" + url.QueryEscape(h),
			"board":        "/board?part_number=" + url.QueryEscape(h+n) + "&location=" + url.QueryEscape(h),
			"stopped":      "/board?part_number=" + url.QueryEscape(h+"x"+n),
			"found":        "/suggest?q=" + url.QueryEscape(h[:1]) + "&location=" + url.QueryEscape(h),
			"typed":        "/?q=" + url.QueryEscape(h+" nothing"),
			"fragment":     "/suggest?fragment=1&q=" + url.QueryEscape(h+n) + "&location=" + url.QueryEscape(h),
			"unknown":      ask("brand", h, "model", h+"y", "serial", h),
			"no parameter": "/?" + url.QueryEscape(h) + "=1",
		} {
			page := get(t, handler, address)
			if page.Code == http.StatusInternalServerError {
				t.Errorf("%s of %q: status %d", name, h, page.Code)
			}
			scripts := page.all("script")
			if len(scripts) > 1 || len(page.all("img")) > 0 || len(page.all("svg[onload]")) > 0 || len(page.all("[onfocus]")) > 0 || len(page.all("[onerror]")) > 0 {
				t.Errorf("%s of %q is not text any more:\n%s", name, h, page.Body)
			}
			for _, a := range page.all("a[href]") {
				if href := valueOf(a, "href"); !strings.HasPrefix(href, "/") && !strings.HasPrefix(href, "#") {
					t.Errorf("%s of %q links to %s", name, h, href)
				}
			}
			if name != "fragment" {
				b.visit(address)
				if evaluate[bool](b, `"harmed" in window`) {
					t.Errorf("%s of %q did harm", name, h)
				}
			}
		}
		page := get(t, handler, machine)
		if got, want := page.text("h1"), strings.Join(strings.Fields(h+n+" "+h+" / "+h), " "); got != want {
			t.Errorf("the heading is %q, want %q", got, want)
		}
	}
}
