package page_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"standin"
	"standin/api"
	"standin/db/shop"
)

// shelved is the whole handler over the demo with its shop, and the shop.
func shelved(t testing.TB, change func(*api.Config, *shop.Store)) (http.Handler, *shop.Store) {
	t.Helper()
	store := demoStore(t)
	stocks := shop.NewStore(store)
	config := api.Config{Catalogue: store, Shop: stocks, Version: "test"}
	if change != nil {
		change(&config, stocks)
	}
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	return handler, stocks
}

// with is a form with more in it.
func with(form map[string]string, pairs ...string) map[string]string {
	for i := 0; i < len(pairs); i += 2 {
		form[pairs[i]] = pairs[i+1]
	}
	return form
}

// From an answer pieces are held, let go, held again and sold; what is sent twice
// happens once.
func TestShelf(t *testing.T) {
	t.Parallel()
	handler, stocks := shelved(t, nil)
	k := atHome(t, handler)
	answer := k.get("/fits?brand=Fenlask&model=Vask+610&location=front")
	var to string
	for _, a := range answer.all(".best .jobs a") {
		if textOf(a) == "Hold or sell" {
			to = valueOf(a, "href")
		}
	}
	if to != "/shelf?part_number=ZQ-PA-131&revision=C&location=front" {
		t.Fatalf("the answer leads to %q", to)
	}
	free := func() (front int) {
		lines, err := stocks.ListStock(t.Context(), standin.StockFilter{PartNumber: "ZQ-PA-131", Location: "front"}, standin.StockKey{}, 9)
		if err != nil {
			t.Fatal(err)
		}
		for i := range lines {
			front += lines[i].Free()
		}
		return front
	}
	shelf := k.get(to)
	if got := shelf.text("form[action=/shelf/line] fieldset"); !strings.Contains(got, "2 front, new, revision C 1 store, refurbished, revision B") {
		t.Errorf("what is free is %q", got)
	}
	line := valueOf(shelf.one("input[name=line][checked]"), "value")
	form := with(hidden(shelf, "/shelf/line"), "line", line, "quantity", "1", "hours", "24", "for", "Ms Ode", "reference", "J-7", "do", "hold")
	held := k.post("/shelf/line", form)
	if held.Code != http.StatusSeeOther || free() != 1 {
		t.Fatalf("held: status %d, %d free: %s", held.Code, free(), held.text("main"))
	}
	if again := k.post("/shelf/line", form); again.Header().Get("Location") != held.Header().Get("Location") || free() != 1 {
		t.Errorf("sent twice it leads to %q, %d free", again.Header().Get("Location"), free())
	}
	after := k.get(held.Header().Get("Location"))
	if got := after.text(".done"); got != "Hold 1 is held: ZQ-PA-131 at front." {
		t.Errorf("said is %q", got)
	}
	if got := after.text(".list"); !strings.HasPrefix(got, "front until ") || !strings.Contains(got, "for Ms Ode, J-7") {
		t.Errorf("held is %q", got)
	}
	let := k.post("/shelf/hold", with(hidden(after, "/shelf/hold"), "do", "release"))
	if got := k.get(let.Header().Get("Location")).text(".done"); got != "Hold 1 is released: ZQ-PA-131 at front." || free() != 2 {
		t.Errorf("let go: %q, %d free", got, free())
	}
	k.post("/shelf/line", with(hidden(k.get(to), "/shelf/line"), "line", line, "quantity", "2", "hours", "4", "do", "hold"))
	sold := k.post("/shelf/hold", with(hidden(k.get(to), "/shelf/hold"), "do", "sell"))
	if got := k.get(sold.Header().Get("Location")).text(".done"); got != "Sold: 2 × ZQ-PA-131 from front, of which 0 are left." {
		t.Errorf("sold: %q", got)
	}
	store := strings.Replace(line, "at=front", "at=store", 1)
	store = strings.NewReplacer("condition=new", "condition=refurbished", "revision=C", "revision=B").Replace(store)
	sold = k.post("/shelf/line", with(hidden(k.get(to), "/shelf/line"), "line", store, "do", "sell"))
	if got := k.get(sold.Header().Get("Location")).text(".done"); got != "Sold: ZQ-PA-131 from store, of which 0 are left." {
		t.Errorf("sold: %q", got)
	}
	if got := k.get(to).text("main"); !strings.Contains(got, "Nothing is free.") {
		t.Errorf("nothing is left, and the page says %q", got)
	}
	moves, err := stocks.ListMoves(t.Context(), standin.StockFilter{PartNumber: "ZQ-PA-131"}, 0, 9)
	if err != nil || len(moves) != 2 || moves[0].Hold != 2 || moves[0].Quantity != 2 {
		t.Errorf("moves %+v, %v", moves, err)
	}
}

// What must not be supplied is neither held nor sold here, and rubbish changes nothing.
func TestShelfRefuses(t *testing.T) {
	t.Parallel()
	handler, stocks := shelved(t, nil)
	k := atHome(t, handler)
	shelf := k.get("/shelf?part_number=ZQ-PA-118")
	if got := shelf.text(".mark"); !strings.Contains(got, "store, used, revision A: must not be supplied. Recalled") || len(shelf.all("input[name=line]")) != 1 {
		t.Errorf("a recalled revision is %q", got)
	}
	stopped := url.Values{"at": {"store"}, "part": {"ZQ-PA-118"}, "revision": {"A"}, "condition": {"used"}}.Encode()
	good := strings.Replace(stopped, "revision=A", "revision=C", 1)
	for name, test := range map[string]struct {
		pairs []string
		code  int
		says  string
	}{
		"recalled":     {[]string{"line", stopped, "do", "sell"}, http.StatusUnprocessableEntity, "must not be supplied"},
		"more than is": {[]string{"line", good, "do", "sell", "quantity", "2"}, http.StatusConflict, "2 wanted, 1 free"},
		"no number":    {[]string{"line", good, "do", "sell", "quantity", "two"}, http.StatusBadRequest, "whole number"},
		"no line":      {[]string{"do", "sell"}, http.StatusBadRequest, "o line of stock"},
		"neither":      {[]string{"line", good, "do", "lend"}, http.StatusBadRequest, "neither hold nor sell"},
		"no time":      {[]string{"line", good, "do", "hold", "hours", "9999"}, http.StatusBadRequest, "how long"},
		"other form":   {[]string{"line", good, "do", "sell", "form", "x"}, http.StatusForbidden, "not of this page"},
		"no such line": {[]string{"line", strings.Replace(good, "store", "moon", 1), "do", "sell"}, http.StatusConflict, "moon"},
	} {
		got := k.post("/shelf/line", with(hidden(shelf, "/shelf/line"), append([]string{"key", name}, test.pairs...)...))
		if got.Code != test.code || !strings.Contains(got.text("main"), test.says) {
			t.Errorf("%s: status %d, %s", name, got.Code, got.text("main"))
		}
	}
	if got := k.post("/shelf/hold", with(hidden(shelf, "/shelf/line"), "hold", "7", "do", "sell")); got.Code != http.StatusNotFound {
		t.Errorf("a hold that is not: status %d", got.Code)
	}
	if got := k.get("/shelf"); got.Code != http.StatusBadRequest {
		t.Errorf("no part: status %d", got.Code)
	}
	if moves, err := stocks.ListMoves(t.Context(), standin.StockFilter{}, 0, 9); err != nil || len(moves) != 0 {
		t.Errorf("moves %+v, %v", moves, err)
	}
}

// Who sells shows a token that lets him, at his own place alone.
func TestShelfMay(t *testing.T) {
	t.Parallel()
	texts := map[string]string{}
	handler, _ := shelved(t, func(c *api.Config, s *shop.Store) {
		c.Tokens, c.Guarded = s, true
		for name, wanted := range map[string]standin.NewToken{
			"reader": {Name: "reader", Scopes: []standin.Scope{standin.ScopeRead}},
			"van":    {Name: "van", Scopes: []standin.Scope{standin.ScopeStock}, Location: "store"},
		} {
			text, _, err := s.AddToken(t.Context(), wanted)
			if err != nil {
				t.Fatal(err)
			}
			texts[name] = text
		}
	})
	k := &keeperAt{t: t, handler: handler, from: "192.0.2.7:50000", host: "shop.example"}
	if got := k.get("/shelf?part_number=ZQ-PA-131"); got.Code != http.StatusSeeOther || !strings.HasPrefix(got.Header().Get("Location"), "/sign-in?to=%2Fshelf") {
		t.Errorf("nobody: status %d, to %q", got.Code, got.Header().Get("Location"))
	}
	k.cookie = texts["reader"]
	if got := k.get("/shelf?part_number=ZQ-PA-131"); got.Code != http.StatusForbidden {
		t.Errorf("a reader: status %d", got.Code)
	}
	k.cookie = texts["van"]
	shelf := k.get("/shelf?part_number=ZQ-PA-131")
	if got := shelf.text("fieldset"); strings.Contains(got, "front") || !strings.Contains(got, "store") {
		t.Errorf("the van sees %q", got)
	}
	front := url.Values{"at": {"front"}, "part": {"ZQ-PA-131"}, "revision": {"C"}, "condition": {"new"}}.Encode()
	if got := k.post("/shelf/line", with(hidden(shelf, "/shelf/line"), "line", front, "do", "sell")); got.Code != http.StatusForbidden {
		t.Errorf("the van sells from the front: status %d", got.Code)
	}
	if got := k.post("/shelf/line", with(hidden(shelf, "/shelf/line"), "line", valueOf(shelf.one("input[name=line]"), "value"), "do", "sell")); got.Code != http.StatusSeeOther {
		t.Errorf("the van sells its own: status %d: %s", got.Code, got.text("main"))
	}
}

// Where the browser reads bar codes a camera does, and else there is no button. The
// browser of the tests cannot: it is given a camera that sees one code.
func TestCamera(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), phone, "/")
	if evaluate[bool](b, `document.getElementById("scan").checkVisibility() && !("BarcodeDetector" in window)`) {
		t.Error("there is a button for what the browser cannot do")
	}
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
			window.looks = 0;
			window.BarcodeDetector = class { async detect() { return ++looks < 3 ? [] : [{ rawValue: "2178410287002" }]; } };
			navigator.mediaDevices.getUserMedia = async () => {
				const canvas = document.createElement("canvas");
				canvas.getContext("2d").fillRect(0, 0, 9, 9);
				return canvas.captureStream(20);
			};`})
		return err
	}))
	b.visit("/")
	b.tap("#scan")
	b.arrive("/board?part_number=ZQ-PA-118")
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
			navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("no", "NotAllowedError"); };`})
		return err
	}))
	b.visit("/")
	b.tap("#scan")
	for deadline := time.Now().Add(patience); !strings.HasPrefix(b.text("#camera p"), "The camera cannot be used"); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("a camera that may not be used is said to be %q", b.text("#camera p"))
		}
	}
	b.tap("#camera button")
	if evaluate[bool](b, `document.getElementById("camera").open`) {
		t.Error("it does not close")
	}
}
