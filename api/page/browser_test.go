package page_test

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"standin/api/page"
)

// How long a page may take to come to what a test waits for. The machine may be
// busy with other tests; a page that is right is there in a fraction of this.
const patience = 30 * time.Second

// chromium is one running browser, started by the first test that needs it.
type chromium struct {
	once    sync.Once
	ctx     context.Context
	cancels []context.CancelFunc
	dir     string
	err     error
}

// close ends the browser and removes its folder.
func (c *chromium) close() {
	for i := len(c.cancels) - 1; i >= 0; i-- {
		c.cancels[i]()
	}
	if c.dir != "" {
		_ = os.RemoveAll(c.dir)
	}
}

// chromiumPath is the browser to use, empty where none is installed.
func chromiumPath() string {
	for _, name := range []string{os.Getenv("CHROMIUM"), "chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); name != "" && err == nil {
			return path
		}
	}
	return ""
}

func (c *chromium) start(path string) {
	if c.dir, c.err = os.MkdirTemp("", "standin-chromium-"); c.err != nil {
		return
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(c.dir),
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("no-first-run", true),
		// Nothing but loopback is there, whatever a page or the browser asks for.
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"))
	allocator, cancelAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	c.ctx, c.cancels = ctx, []context.CancelFunc{cancelAllocator, cancel}
	c.err = chromedp.Do(ctx)
}

// screen is what a person looks at a page with.
type screen struct {
	width, height int64
	dark, touch   bool
	noScripts     bool
	german        bool // chosen at the foot of the page
}

var (
	desktop = screen{width: 1280, height: 900}
	phone   = screen{width: 360, height: 740, touch: true}
)

// tab is a tab of the browser, on a server of its own.
type tab struct {
	t      testing.TB
	ctx    context.Context
	server string
}

// open is a new tab that shows an address of the handler.
func open(t testing.TB, handler http.Handler, s screen, address string) *tab {
	t.Helper()
	path := chromiumPath()
	if path == "" {
		missing(t, "no Chromium for tests: install chromium, or name one with CHROMIUM")
	}
	browser.once.Do(func() { browser.start(path) })
	if browser.err != nil {
		t.Fatalf("Chromium does not start: %v", browser.err)
	}
	server := httptest.NewServer(handler)
	t.Cleanup(server.Close)
	ctx, cancel := chromedp.NewContext(browser.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	tab := &tab{t, ctx, server.URL}
	if err := chromedp.Do(ctx); err != nil { // opens it; its life must not be that of a step
		t.Fatal(err)
	}
	var options []chromedp.EmulateViewportOption
	if s.touch {
		options = append(options, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	scheme := map[bool]string{false: "light", true: "dark"}[s.dark]
	tab.do(chromedp.EmulateViewport(s.width, s.height, options...), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
		})
		return err
	}), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		// Tabs of other tests must not take the focus away: there is one person a tab.
		_, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: s.noScripts})
		return err
	}))
	if s.german {
		tab.visit(page.LanguagePath + "?to=de")
	}
	tab.visit(address)
	return tab
}

// do runs steps, each in its time.
func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatalf("%v\n%s", err, b.where())
	}
}

// where is the address the tab is at, for messages.
func (b *tab) where() string {
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	location, _ := chromedp.Run(ctx, chromedp.Location())
	return strings.TrimPrefix(location, b.server)
}

func (b *tab) visit(address string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.server + address))
}

// keys presses keys, whatever has the focus.
func (b *tab) keys(keys string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(keys))
}

// tap touches the first element of a selector.
func (b *tab) tap(selector string) {
	b.t.Helper()
	b.do(chromedp.Tap(chromedp.CSS(selector)))
}

// see waits until an element of the selector is to be seen.
func (b *tab) see(selector string) {
	b.t.Helper()
	b.do(chromedp.WaitVisible(chromedp.CSS(selector)))
}

// arrive waits until the tab is at an address that begins so, and the page is there
// with its script.
func (b *tab) arrive(address string) {
	b.t.Helper()
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if strings.HasPrefix(b.where(), address) && evaluate[string](b, `document.readyState`) == "complete" {
			b.see("#content")
			return
		}
	}
	b.t.Fatalf("the tab is at %s, want %s", b.where(), address)
}

// text is the text of the first element of a selector as it is seen.
func (b *tab) text(selector string) string {
	b.t.Helper()
	return run(b, chromedp.Text(chromedp.CSS(selector)))
}

// evaluate is the value of a script's expression.
func evaluate[T any](b *tab, expression string) T {
	b.t.Helper()
	return run(b, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

func run[T any](b *tab, action chromedp.Action[T]) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, action)
	if err != nil {
		b.t.Fatalf("%v\n%s", err, b.where())
	}
	return value
}

// picture writes the page as a picture into the folder that STANDIN_PICTURES
// names, for people to look at.
func (b *tab) picture(name string) {
	b.t.Helper()
	dir := os.Getenv("STANDIN_PICTURES")
	if dir == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), run(b, chromedp.FullScreenshot(100)), 0o600); err != nil {
		b.t.Error(err)
	}
}

// axe is axe-core; see testdata/axe/README.txt.
var axe = sync.OnceValues(func() ([]byte, error) { return os.ReadFile("testdata/axe/axe.min.js") })

// violation is what axe-core has to say against a page.
type violation struct {
	ID    string
	Help  string
	Nodes []struct{ HTML, FailureSummary string }
}

// faults are what breaks WCAG 2.2 AA as far as axe-core can tell, or a rule of
// good practice. A page wider than its screen is one too (WCAG 2.2, 1.4.10).
func (b *tab) faults() []string {
	b.t.Helper()
	script, err := axe()
	if err != nil {
		b.t.Fatal(err)
	}
	run(b, chromedp.Evaluate[chromedp.Void](string(script)))
	text := evaluate[string](b, `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
			rules: {"target-size": {enabled: true}}})
		.then(r => JSON.stringify(r.violations))`)
	var violations []violation
	if err := json.Unmarshal([]byte(text), &violations); err != nil {
		b.t.Fatal(err)
	}
	var faults []string
	for _, v := range violations {
		said := fmt.Sprintf("%s: %s", v.ID, v.Help)
		for _, n := range v.Nodes[:min(4, len(v.Nodes))] {
			said += "\n  " + n.HTML + "\n    " + n.FailureSummary
		}
		faults = append(faults, said)
	}
	if over := evaluate[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
		faults = append(faults, fmt.Sprintf("reflow: the page is %d pixels wider than the screen", over))
	}
	return faults
}

// everyScreen are a desktop and a phone, each in both colour schemes, and a phone in
// German: it has the longer words and the least room, and the colours of English.
func everyScreen() map[string]screen {
	screens := map[string]screen{}
	for name, s := range map[string]screen{"desktop": desktop, "phone": phone} {
		for _, dark := range []bool{false, true} {
			s.dark = dark
			screens[fmt.Sprintf("%s-%s", name, cmp.Or(map[bool]string{true: "dark"}[dark], "light"))] = s
		}
	}
	screens["phone-light-de"] = screen{width: phone.width, height: phone.height, touch: true, german: true}
	return screens
}

// reviewed opens pages by their names on every screen, each screen a tab, holds
// them against the rules of access, and takes their pictures.
func reviewed(t *testing.T, handler http.Handler, addresses map[string]string) {
	t.Helper()
	for screenName, s := range everyScreen() {
		t.Run(screenName, func(t *testing.T) {
			tab := *open(t, handler, s, "/")
			for _, name := range slices.Sorted(maps.Keys(addresses)) { // a page may keep something for the next
				t.Run(name, func(t *testing.T) {
					b := tab
					b.t = t
					b.visit(addresses[name])
					for _, fault := range b.faults() {
						t.Errorf("%s: %s", b.where(), fault)
					}
					b.picture(name + "-" + screenName)
				})
			}
		})
	}
}
