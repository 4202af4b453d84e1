package page_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// From the counter to a settled answer without a mouse: the field has the focus
// at once, arrows and Enter choose, arrows and Enter answer the question.
func TestJourneyByKeyboard(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/?location=front")
	if got := evaluate[string](b, `document.activeElement.id`); got != "q" {
		t.Errorf("the focus is on %q", got)
	}
	b.keys("vask 69")
	b.see("#option-0:only-child") // the list for all of it
	b.keys(kb.ArrowDown)
	b.see("#option-0[aria-selected=true]")
	if got := evaluate[string](b, `document.activeElement.getAttribute("aria-activedescendant")`); got != "option-0" {
		t.Errorf("the field says that %q is chosen", got)
	}
	b.picture("typing-desktop-light")
	b.keys(kb.Enter)
	b.arrive("/fits?brand=Fenlask&model=Vask+690&location=front")

	b.keys(kb.ArrowDown) // the first choice of the question
	if got := evaluate[string](b, `document.activeElement.textContent`); !strings.HasPrefix(got, "yes, one with 10 ways") {
		t.Errorf("the focus is on %q", got)
	}
	b.keys(kb.Enter)
	b.arrive("/fits?brand=Fenlask&model=Vask+690&plug=10&location=front")
	if got := b.text(".best"); !strings.Contains(got, "ZQ-PA-131") {
		t.Errorf("the first board is\n%s", got)
	}

	b.keys("2178410287002" + kb.Enter) // the next customer: the field listens
	b.arrive("/board?part_number=ZQ-PA-118&location=front")
	b.keys(kb.ArrowDown + kb.Enter) // the first model it fits
	b.arrive("/fits?brand=Fenlask&model=Vask+610&location=front")
}

// What it takes from a plate to shelf and code: the letters of the model and Enter,
// one key more where it was misread, nothing before the next customer's.
func TestKeystrokes(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/?location=front")
	b.keys("vask610" + kb.Enter)
	b.arrive("/fits?brand=Fenlask&model=Vask+610&location=front")
	if got := b.text(".best"); !strings.Contains(got, "ZQ-PA-131") || !strings.Contains(got, "2 new") {
		t.Errorf("the board is\n%s", got)
	}
	b.keys("va5k69o" + kb.Enter) // misread
	b.arrive("/?q=va5k69o")
	b.keys(kb.Enter)
	b.arrive("/fits?brand=Fenlask&model=Vask+690&location=front")
	b.keys("ukh 60" + kb.Enter) // several begin so
	b.arrive("/?q=ukh+60")
	b.keys(kb.ArrowDown + kb.Enter) // the second
	b.arrive("/fits?brand=Ukkelholt&model=UKH+6020&location=front")
	b.keys("qqqq" + kb.Enter) // nothing is like it: the field has the focus
	b.arrive("/?q=qqqq")
	b.keys("kyl 21" + kb.Enter) // the only one that begins so
	b.arrive("/fits?brand=Fenlask&model=Kyl+210&location=front")
}

// A scan after something that was typed counts alone, and so does one on a page that
// has no field. What is wrong with a GTIN is said.
func TestScan(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/?location=front")
	b.keys("vask")
	b.see("#option-0")
	time.Sleep(500 * time.Millisecond) // before the scan begins
	b.keys("2178410287002" + kb.Enter)
	b.arrive("/board?part_number=ZQ-PA-118&location=front")
	b.visit("/bench?brand=Fenlask&model=Vask+610&part_number=ZQ-PA-131&revision=C&location=front")
	b.keys("2178410287003" + kb.Enter)
	b.arrive("/?location=front&q=2178410287003")
	if got := b.text(".warn"); !strings.Contains(got, "its check digit is 3, and the other digits give 2") {
		t.Errorf("it says %q", got)
	}
}

// The arrows reach the question first, then the work with the board on top.
func TestArrowsReachTheWork(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/fits?brand=Fenlask&model=Vask+690&location=front")
	focused := func() string { return evaluate[string](b, `document.activeElement.textContent`) }
	b.keys(kb.ArrowDown)
	if got := focused(); !strings.HasPrefix(got, "yes, one with 10 ways") {
		t.Errorf("first comes %q", got)
	}
	seen := ""
	for range 8 {
		b.keys(kb.ArrowUp)
		seen += focused() + "|"
	}
	for _, want := range []string{"To the bench", "Job sheet", "Label", "Why, and what proves it"} {
		if !strings.Contains(seen, want) {
			t.Errorf("the arrows do not reach %q: %s", want, seen)
		}
	}
}

// Escape closes the list, and Enter then asks for what was typed.
func TestEscapeClosesTheList(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/")
	b.keys("ukh")
	b.see("#option-0")
	b.keys(kb.ArrowDown + kb.Escape)
	if !evaluate[bool](b, `document.getElementById("options").hidden && document.activeElement.id === "q"`) {
		t.Error("the list is still there, or the focus has left the field")
	}
	b.keys(kb.Enter)
	b.arrive("/?q=ukh")
}

// An arrow that is quicker than the list for what was typed chooses from that
// list, not from the one before it.
func TestArrowBeforeTheList(t *testing.T) {
	t.Parallel()
	slow := http.NewServeMux()
	handler := over(t, demoStore(t))
	slow.Handle("/", handler)
	slow.HandleFunc("/suggest", func(w http.ResponseWriter, r *http.Request) {
		if r.FormValue("q") == "ukh 6" {
			time.Sleep(time.Second)
		}
		handler.ServeHTTP(w, r)
	})
	b := open(t, slow, desktop, "/")
	b.keys("ukh")
	b.see("#option-0")
	b.keys(" 6" + kb.ArrowDown)
	b.see("#option-0[aria-selected=true]")
	b.keys(kb.Enter)
	b.arrive("/fits?brand=Ukkelholt&model=UKH+6010")
}

// The details of a board open by the keyboard alone.
func TestDetailsByKeyboard(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/fits?brand=Fenlask&model=Vask+610&location=front")
	evaluate[bool](b, `document.querySelector(".best summary").focus(), true`)
	b.keys(kb.Enter)
	b.see(".best .checks")
	b.picture("details-desktop-light")
}

// The same on a phone by touch, with suggestions under the thumb.
func TestJourneyByTouch(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), phone, "/?location=front")
	b.tap("#q")
	b.keys("vask 69")
	b.see("#option-0:only-child") // the list for all of it
	b.picture("typing-phone-light")
	b.tap("#option-0")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&location=front")
	b.tap(".ask-first a.press")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&plug=10&location=front")
	b.tap(".given a.drop")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&location=front")
	b.tap(".aside details:has(.known) > summary")
	b.see("#f-made")
	b.tap("#f-made")
	b.keys("2005")
	b.tap(".known button")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&location=front&made=2005")
	b.see(".best")
}

// And where no script runs: each step is a form or a link.
func TestJourneyWithoutScripts(t *testing.T) {
	t.Parallel()
	plain := phone
	plain.noScripts = true
	b := open(t, over(t, demoStore(t)), plain, "/?location=front")
	b.tap("#q")
	b.keys("vask 6" + kb.Enter)
	b.arrive("/?q=vask+6&location=front")
	if got := b.text(".matches"); !strings.Contains(got, "Fenlask Vask 690") {
		t.Errorf("the results are\n%s", got)
	}
	b.do(chromedp.SetValue(chromedp.ID("q"), "fenlask vask690"))
	b.tap(".find button")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&location=front")
	b.tap(".ask-first a.press")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&plug=10&location=front")
	b.tap(".best summary")
	b.see(".best .checks")
	b.tap(".ruled a.press")
	b.arrive("/fits?brand=Fenlask&model=Vask+690&plug=10&location=front&all=true")
	b.see(".ruled .checks")
}

// While the database is away the page asks again by itself, and is there once
// the database is.
func TestAsksAgain(t *testing.T) {
	t.Parallel()
	store := &switched{Catalogue: demoStore(t)}
	store.away.Store(true)
	b := open(t, over(t, store), desktop, "/fits?brand=Fenlask&model=Vask+690")
	b.see("[data-again]")
	if got := b.text("#waiting"); got != "This page asks again every 5 seconds." {
		t.Errorf("it says %q", got)
	}
	store.away.Store(false)
	b.see(".best")
}
