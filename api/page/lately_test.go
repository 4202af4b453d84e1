package page_test

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"standin"
	"standin/api"
)

// What was looked up and where stock is wanted is remembered by the browser alone, until
// it is cleared.
func TestLately(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/")
	choose := func(place string) {
		evaluate[bool](b, `(() => { const s = document.getElementById("location"); s.value = "`+place+`"; return s.dispatchEvent(new Event("change")); })()`)
	}
	if evaluate[bool](b, `document.getElementById("lately").checkVisibility()`) {
		t.Error("something was looked up before anything was")
	}
	if got := evaluate[string](b, `[...document.getElementById("location").options].map((o) => o.value).join()`); !strings.HasPrefix(got, ",") || !strings.Contains(got, "front") {
		t.Errorf("the places to choose from are %s", got)
	}
	choose("front")
	b.visit("/")
	b.keys("vask610" + kb.Enter)
	b.arrive("/fits?brand=Fenlask&model=Vask+610&location=front")
	choose("")
	b.arrive("/fits?brand=Fenlask&model=Vask+610")
	if got := b.text(".best"); !strings.Contains(got, "Stock") || strings.Contains(got, "At front") {
		t.Errorf("without a place the board is\n%s", got)
	}
	choose("front")
	b.arrive("/fits?brand=Fenlask&model=Vask+610&location=front")
	b.visit("/board?part_number=ZQ-PA-118")
	b.visit("/")
	b.see("#lately li:nth-child(2)")
	if got := b.text("#lately ul"); !strings.HasPrefix(got, "ZQ-PA-118") || !strings.Contains(got, "Fenlask Vask 610") || strings.Count(got, "610") != 1 {
		t.Errorf("what was looked up is\n%s", got)
	}
	b.picture("lately-desktop-light")
	b.tap("#lately li:nth-child(2) a")
	b.arrive("/fits?brand=Fenlask&model=Vask+610&location=front")
	b.visit("/")
	b.tap("#lately button")
	b.visit("/")
	if evaluate[bool](b, `document.getElementById("lately").checkVisibility()`) {
		t.Error("what was cleared is still there")
	}
}

// someHolds is a shop that has holds, and lastImport an intake that has one.
type (
	someHolds struct {
		standin.Shop
		holds []standin.Hold
		err   error
	}
	lastImport struct {
		standin.Intake
		imports []standin.Import
	}
)

func (s someHolds) ListHolds(_ context.Context, f standin.HoldFilter, _ int64, limit int) ([]standin.Hold, error) {
	var found []standin.Hold
	for _, h := range s.holds {
		if f.State == standin.HoldHeld && (f.Location == "" || f.Location == h.Location) && len(found) < limit {
			found = append(found, h)
		}
	}
	return found, s.err
}

func (i lastImport) ListImports(context.Context, int64, int) ([]standin.Import, error) {
	return i.imports, nil
}

// The first page has the open holds of the place and the last import, and is there
// without them.
func TestFirstPage(t *testing.T) {
	t.Parallel()
	store := demoStore(t)
	handler := func(s someHolds) http.Handler {
		made := lastImport{imports: []standin.Import{{ID: 3, At: time.Now().Add(-50 * time.Hour), By: "keeper", Bundle: "spring", CatalogueVersion: 12}}}
		h, err := api.New(api.Config{Catalogue: store, Version: "test", Shop: s, Intake: made})
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	hold := func(location, part, whom string) standin.Hold {
		return standin.Hold{NewHold: standin.NewHold{StockKey: standin.StockKey{Location: location, PartNumber: part}, Quantity: 2,
			Until: time.Date(2026, 3, 4, 17, 0, 0, 0, time.UTC), For: whom, Reference: "J-7"}}
	}
	holds := []standin.Hold{hold("front", "ZQ-PA-118", "Ms <Ode>"), hold("van", "ZQ-PA-131", "")}
	page := get(t, handler(someHolds{holds: holds}), "/").Body.String()
	for _, want := range []string{"2 × ZQ-PA-118", "front until 2026-03-04 17:00 UTC", "for Ms &lt;Ode&gt;, J-7", "2 × ZQ-PA-131", "for J-7",
		"Version 12, imported 2 days ago by keeper", "spring"} {
		if !strings.Contains(page, want) {
			t.Errorf("the first page has no %q", want)
		}
	}
	page = get(t, handler(someHolds{holds: holds}), "/?location=van").Body.String()
	if strings.Contains(page, "ZQ-PA-118") || !strings.Contains(page, "ZQ-PA-131") {
		t.Error("at the van the first page has other holds than its own")
	}
	if page := get(t, handler(someHolds{holds: make([]standin.Hold, 9)}), "/").Body.String(); !strings.Contains(page, "There are more.") {
		t.Error("nine holds are all that there are")
	}
	answer := get(t, handler(someHolds{err: &standin.Error{Code: standin.CodeUnavailable, Message: "away"}}), "/")
	if answer.Code != http.StatusOK || !strings.Contains(answer.Body.String(), `id="q"`) || strings.Contains(answer.Body.String(), "Held") {
		t.Errorf("without the holds the first page is %d", answer.Code)
	}
	if page := get(t, handler(someHolds{}), "/help").Body.String(); !strings.Contains(page, "<kbd>Esc</kbd>") {
		t.Error("the help does not name the keys")
	}
}
