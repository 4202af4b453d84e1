package page_test

import (
	"strings"
	"testing"
)

func TestAccess(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for name, address := range map[string]string{
		"counter":   "/",
		"not-found": "/nothing",
	} {
		reviewed(t, handler, name, address)
	}
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
