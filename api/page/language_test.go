package page_test

import (
	"encoding/csv"
	"io/fs"
	"maps"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"standin/api/locale"
	"standin/cmd/standin/demo"
)

// mostPages is how many pages of the demo are looked at in German.
const mostPages = 400

// begins are the pages from which every other is reached.
var begins = []string{
	"/", "/?q=v", "/?q=zzqqxx", "/suggest?q=ruskelby&fragment=true", "/nowhere", "/sign-in",
	"/fits?brand=Fenlask&model=Vask+640&variant=K03", "/fits?brand=Ruskelby&model=RK6-D1&made=2030", "/fits?brand=Ruskelby&model=None",
	"/fits?brand=Ruskelby&model=RK6-D1&made=never", "/fits?brand=Ukkelholt&model=UKH+6010&serial=1&all=true", "/identify", "/board?part_number=none",
}

// What a page of the demo shows in German has no English sentence left in it, but for
// what is recorded in the catalogue of boards.
func TestPagesInGerman(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	recorded := recordedTexts(t)
	seen, queue, left := map[string]bool{}, begins, map[string]string{}
	for models := addressesOfModels(t); len(models) > 0; models = models[min(7, len(models)):] {
		queue = append(queue, models[0])
	}
	for len(queue) > 0 && len(seen) < mostPages {
		address := queue[0]
		queue = queue[1:]
		if seen[address] {
			continue
		}
		seen[address] = true
		page := inGerman(t, handler, address)
		if page.Header().Get("Content-Language") != "de" || !strings.Contains(strings.Join(page.Header().Values("Vary"), ","), "Accept-Language") {
			t.Errorf("%s: headers %v", address, page.Header())
		}
		for _, text := range textsOf(t, page.Body.String()) {
			if isEnglish(text, recorded) && left[text] == "" {
				left[text] = address
			}
		}
		links := linkedFrom(page.Body.String())
		for i, step := 0, max(1, len(links)/6); i < len(links); i += step {
			queue = append(queue, links[i])
		}
	}
	for text, address := range left {
		t.Errorf("%q on %s", text, address)
	}
	if len(seen) < mostPages/2 {
		t.Errorf("only %d pages were found", len(seen))
	}
}

func inGerman(t testing.TB, handler http.Handler, address string) *httptest.ResponseRecorder {
	t.Helper()
	request := httptest.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	request.Header.Set("Accept", "text/html")
	request.Header.Set("Accept-Language", "de-AT,de;q=0.9,en;q=0.5")
	recorder := httptest.NewRecorder()
	handler.ServeHTTP(recorder, request)
	return recorder
}

// recordedTexts are all cells of the demo's bundle.
func recordedTexts(t testing.TB) map[string]bool {
	t.Helper()
	all := map[string]bool{}
	err := fs.WalkDir(demo.Bundle, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".csv") {
			return err
		}
		text, err := fs.ReadFile(demo.Bundle, path)
		if err != nil {
			return err
		}
		rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
		for _, row := range rows {
			for _, cell := range row {
				all[strings.ToLower(strings.TrimSuffix(cell, "."))] = true
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func addressesOfModels(t testing.TB) []string {
	t.Helper()
	text, err := fs.ReadFile(demo.Bundle, demo.BundleDir+"/models.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, row := range rows[1:] {
		address := "/fits?brand=" + strings.ReplaceAll(row[0], " ", "+") + "&model=" + strings.ReplaceAll(row[1], " ", "+")
		if row[2] != "" {
			address += "&variant=" + strings.ReplaceAll(row[2], " ", "+")
		}
		all = append(all, address)
	}
	return all
}

// textsOf are the texts of a page that people read, without those that are kept as
// they are.
func textsOf(t testing.TB, page string) []string {
	t.Helper()
	document, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for n := range document.Descendants() {
		if n.Type == html.TextNode && strings.TrimSpace(n.Data) != "" && !isKept(n.Parent) {
			all = append(all, n.Data)
		}
		for _, a := range n.Attr {
			if slices.Contains([]string{"title", "aria-label", "placeholder", "alt"}, a.Key) {
				all = append(all, a.Val)
			}
		}
	}
	return all
}

func isKept(n *html.Node) bool {
	for ; n != nil; n = n.Parent {
		if slices.Contains([]string{"script", "style", "code", "kbd", "pre", "textarea", "noscript"}, n.Data) {
			return true
		}
		for _, a := range n.Attr {
			if a.Key == "class" && slices.Contains(strings.Fields(a.Val), "number") || a.Key == "lang" && n.Data == "a" {
				return true
			}
		}
	}
	return false
}

// englishWords are some that no German sentence has, and hardly a name.
var englishWords = regexp.MustCompile(`(?i)\b(the|is|of|not|and|no|for|with|it|to|from|which|this|are|be|on|by|or|at|as|that|what|way|ways|board|build|builds|` +
	`plug|plugs|header|machine|model|none|new|used|made|recorded|revision|issue|reads?|lit|unlit|adaptor|harness|check|fits|stock|serial)\b`)

// isEnglish reports whether a text is an English one of the program's own.
func isEnglish(text string, recorded map[string]bool) bool {
	for _, known := range []string{"Revision", "Code", "Ausgabe"} {
		text = strings.ReplaceAll(text, known, "")
	}
	for part := range strings.SplitSeq(text, " · ") {
		part = strings.TrimSpace(part)
		if !englishWords.MatchString(part) || recorded[strings.ToLower(strings.Trim(part, " .:()…"))] {
			continue
		}
		if !ofRecord(strings.ToLower(part), recorded) {
			return true
		}
	}
	return false
}

// ofRecord reports whether what is English in a text is of the record: each English
// word stands in a recorded text that is within it whole, or begins it.
func ofRecord(text string, recorded map[string]bool) bool {
	cells := slices.Collect(maps.Keys(recorded))
	slices.SortFunc(cells, func(a, b string) int { return len(b) - len(a) })
	for _, cell := range cells {
		if name := strings.Trim(strings.TrimPrefix(text, "danach: "), " .…"); len(name) > 8 && strings.Contains(cell, name) {
			return true // as much of it as there was room for
		}
		if strings.Contains(cell, " ") || englishWords.MatchString(cell) {
			text = strings.ReplaceAll(text, cell, "")
		}
	}
	return !englishWords.MatchString(text)
}

var hrefs = regexp.MustCompile(` href="(/[^"]*)"`)

// linkedFrom are the pages that a page leads to.
func linkedFrom(page string) []string {
	var all []string
	for _, found := range hrefs.FindAllStringSubmatch(page, -1) {
		address := html.UnescapeString(found[1])
		if !strings.HasPrefix(address, "/static/") && !strings.HasPrefix(address, "/v1/") && !strings.HasPrefix(address, locale.Cookie) &&
			!strings.HasPrefix(address, "/language") && !strings.HasPrefix(address, "/docs") {
			all = append(all, address)
		}
	}
	return all
}
