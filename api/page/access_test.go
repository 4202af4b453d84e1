package page_test

import (
	"strings"
	"testing"
)

func TestAccess(t *testing.T) {
	t.Parallel()
	reviewed(t, over(t, demoStore(t)), map[string]string{
		"counter": "/",
		"help":    "/help",

		"found":         "/suggest?q=ukh",
		"found-none":    "/?q=qqqqqq",
		"misread-gtin":  "/?q=2178410287003",
		"answer":        "/fits?brand=Fenlask&model=Vask+690&location=front",
		"answer-all":    "/fits?brand=Fenlask&model=Vask+640&variant=K07&location=front&all=true",
		"contradiction": "/fits?brand=Fenlask&model=Vask+640&variant=K03&plug=6+2+2&made=2001",
		"nothing-fits":  "/fits?brand=Ukkelholt&model=UKH+8010&location=front",
		"unknown-model": "/fits?brand=Fenlask&model=Vesk+690&made=2005",
		"bad-evidence":  "/fits?brand=Fenlask&model=Vask+690&made=12.3.2005",
		"misspelt":      "/fits?brand=Fenlask&model=Vask+690&serail=5",
		"board":         "/board?part_number=ZQ-PA-118&location=front",
		"board-unknown": "/board?part_number=NO-SUCH",
		"not-found":     "/nothing",
	})
}

// A page with faults is found out: else TestAccess could not fail.
func TestAccessCanFail(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), phone, "/")
	evaluate[bool](b, `document.querySelector("main").insertAdjacentHTML("beforeend",
		"<img src=/x><p id=faint>faint</p><div><button id=tiny>x</button><button id=tinier>y</button></div><p id=wide>wide</p>"),
		faint.style.cssText = "color: #777777; background: #ffffff",
		tiny.style.cssText = tinier.style.cssText = "width: 9px; height: 9px; min-height: 0; padding: 0; overflow: hidden",
		wide.style.cssText = "width: 500px", true`)
	found := strings.Join(b.faults(), "\n")
	for _, want := range []string{"image-alt:", "color-contrast:", "target-size:", "reflow:"} {
		if !strings.Contains(found, want) {
			t.Errorf("no %q in\n%s", want, found)
		}
	}
}
