package page_test

import (
	"strings"
	"testing"
)

func TestBoard(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	page := get(t, handler, "/board?part_number=zq-pa-118&location=store")
	for _, want := range []string{
		"GTIN 2178410287002", "family Pavane", "Revision A, issue 1 must not be supplied: Recalled 2001-04",
		"At store 1 used, revision A 1 used, revision C", "ZQ-PA-118 replaced by ZQ-PA-131", "P3977-20 (revision B)",
		"heater 16 A", "220 to 240 V, 50 Hz",
	} {
		if got := page.text("main"); !strings.Contains(got, want) {
			t.Errorf("it lacks %q:\n%s", want, got)
		}
	}
	rows := map[string]string{}
	for _, row := range page.all(".rows li") {
		d := document{t, row}
		rows[d.text("a")] = d.text(".verdict") + " " + d.text("small")
	}
	for model, want := range map[string]string{ // as standin fit says
		"Fenlask Vask 610": "fits revisions C, D and B", "Fenlask Vask 650": "does not fit ", "Fenlask Vask 690": "depends on the build revision D",
	} {
		if rows[model] != want {
			t.Errorf("%s: %q, want %q", model, rows[model], want)
		}
	}
	fixed := get(t, handler, "/board?part_number=ZQ-FX-401")
	if got := fixed.text("main"); !strings.Contains(got, "a fixed board, nothing to configure") || !strings.Contains(got, "Everywhere none") {
		t.Errorf("a fixed board without stock:\n%s", got)
	}
}

// Models that do not find room on one page are on the next.
func TestBoardPages(t *testing.T) {
	t.Parallel()
	handler := over(t, imported(t, manyModels(t, 60)))
	seen := map[string]bool{}
	address := "/board?part_number=70-1000&location=front"
	for pages := 0; address != ""; pages++ {
		page := get(t, handler, address)
		for _, name := range page.texts(".rows a") {
			if seen[name] {
				t.Errorf("%s is there twice", name)
			}
			seen[name] = true
		}
		address = ""
		if more := page.all("section a.press"); len(more) > 0 {
			address = valueOf(more[0], "href")
		}
		if pages > 5 {
			t.Fatal("there is no last page")
		}
	}
	if len(seen) != 60 {
		t.Errorf("%d models, want 60", len(seen))
	}
}
