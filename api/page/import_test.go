package page_test

import (
	"bytes"
	"context"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"golang.org/x/net/html"

	"standin"
	"standin/api"
	"standin/db"
	stored "standin/db/bundle"
	"standin/db/uploads"
	"standin/importer/intake"
)

// keeping is the whole HTTP handler over the demo's catalogue, where bundles are taken
// in, and its database. change may set up the service otherwise.
func keeping(t testing.TB, change func(*api.Config)) (http.Handler, *db.DB) {
	t.Helper()
	store := demoStore(t)
	in, err := intake.New(intake.Config{Catalogue: stored.NewStore(store), Uploads: uploads.NewStore(store), Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { in.Close() })
	config := api.Config{Catalogue: store, Intake: in, Version: "test"}
	if change != nil {
		change(&config)
	}
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	return handler, store
}

// keeperAt is a browser: where it is, and what it keeps.
type keeperAt struct {
	t       testing.TB
	handler http.Handler
	from    string // address of its connection
	host    string
	cookie  string
	header  []string
}

// atHome is a browser at the machine of the service.
func atHome(t testing.TB, handler http.Handler) *keeperAt {
	return &keeperAt{t: t, handler: handler, from: "127.0.0.1:50000", host: "localhost:8470"}
}

func (k *keeperAt) do(r *http.Request) shown {
	k.t.Helper()
	r.RemoteAddr, r.Host = k.from, k.host
	r.Header.Set("Accept", "text/html,*/*;q=0.8")
	if k.cookie != "" {
		r.Header.Set("Cookie", "standin="+k.cookie)
	}
	for i := 0; i < len(k.header); i += 2 {
		r.Header.Set(k.header[i], k.header[i+1])
	}
	recorded := httptest.NewRecorder()
	k.handler.ServeHTTP(recorded, r)
	return shown{recorded, parse(k.t, recorded.Body.String())}
}

func (k *keeperAt) get(address string) shown {
	k.t.Helper()
	return k.do(httptest.NewRequestWithContext(context.Background(), http.MethodGet, address, nil))
}

// send sends the form of files, with what its page has in it but for what is given.
func (k *keeperAt) send(form map[string]string, files ...string) shown {
	k.t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for _, name := range []string{"form", "key", "replace", "encoding"} {
		_ = w.WriteField(name, form[name])
	}
	for i := 0; i < len(files); i += 2 {
		out, err := w.CreateFormFile("file", files[i])
		if err != nil {
			k.t.Fatal(err)
		}
		_, _ = out.Write([]byte(files[i+1]))
	}
	empty, _ := w.CreateFormFile("mapping", "") // as a browser sends that none was chosen
	_, _ = empty.Write(nil)
	w.Close()
	r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/import", &b)
	r.Header.Set("Content-Type", w.FormDataContentType())
	return k.do(r)
}

// post sends a form without files.
func (k *keeperAt) post(address string, form map[string]string) shown {
	k.t.Helper()
	values := url.Values{}
	for name, value := range form {
		values.Set(name, value)
	}
	r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, address, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return k.do(r)
}

// hidden is what the form of an action has hidden in it.
func hidden(page shown, action string) map[string]string {
	form := map[string]string{}
	for _, n := range page.all(`form[action=` + action + `] input[type=hidden]`) {
		form[valueOf(n, "name")] = valueOf(n, "value")
	}
	return form
}

// ended follows a redirection to an upload and waits for its end.
func (k *keeperAt) ended(sent shown) (shown, string) {
	k.t.Helper()
	at := sent.Header().Get("Location")
	if sent.Code != http.StatusSeeOther || !strings.HasPrefix(at, "/import/upload?id=") {
		k.t.Fatalf("status %d, to %q: %s", sent.Code, at, sent.text("main"))
	}
	for range 300 {
		page := k.get(at)
		if page.Code != http.StatusOK {
			k.t.Fatalf("%s: status %d", at, page.Code)
		}
		if len(page.all("progress")) == 0 {
			return page, at
		}
		if len(page.all("noscript meta[http-equiv=refresh]")) != 1 && !strings.Contains(page.Body.String(), `<noscript><meta http-equiv="refresh"`) {
			k.t.Error("without scripts it would not go on")
		}
		time.Sleep(50 * time.Millisecond)
	}
	k.t.Fatal("it does not end")
	return sent, ""
}

const leaflet = "source,title,issued,note\nLeaflet 9,Trout,2004-09,\n"

// A bundle is checked, looked at, taken in and taken back; what is sent twice acts once.
func TestImportPages(t *testing.T) {
	t.Parallel()
	handler, store := keeping(t, nil)
	k := atHome(t, handler)
	start := k.get("/import")
	if start.Code != http.StatusOK || len(start.all(".imports li")) != 1 {
		t.Fatalf("status %d: %s", start.Code, start.text("main"))
	}
	form := hidden(start, "/import")
	checked, at := k.ended(k.send(form, "sources.csv", leaflet))
	if again := k.send(form, "sources.csv", leaflet); again.Header().Get("Location") != at {
		t.Errorf("sent twice it leads to %q, not %q", again.Header().Get("Location"), at)
	}
	if text := checked.text("main"); !strings.Contains(text, "nothing is changed yet") || !strings.Contains(text, "sources 1 added") || !strings.Contains(text, "title: Trout") {
		t.Errorf("checked: %s", text)
	}
	if got := importsOf(t, store); got != 1 {
		t.Fatalf("%d imports after a check", got)
	}
	take := hidden(checked, "/import/take")
	taken, _ := k.ended(k.post("/import/take", take))
	k.ended(k.post("/import/take", take))
	if text := taken.text("h1"); text != "Taken in, as import 2" || importsOf(t, store) != 2 {
		t.Errorf("taken: %s, %d imports", text, importsOf(t, store))
	}
	if len(taken.all(`form[action=/import/take]`)) != 0 {
		t.Error("it can be taken in once more")
	}
	undo := hidden(taken, "/import/undo")
	undone, _ := k.ended(k.post("/import/undo", undo))
	k.ended(k.post("/import/undo", undo))
	if text := undone.text("h1"); text != "Import 2 is taken back, by import 3" || importsOf(t, store) != 3 {
		t.Errorf("undone: %s, %d imports", text, importsOf(t, store))
	}
	before := k.get("/import/upload?id=2")
	if text := before.text("main"); !strings.Contains(text, "taken back by import 3") || len(before.all(`form[action=/import/undo]`)) != 0 {
		t.Errorf("the first: %s", text)
	}
	if list := k.get("/import").text(".imports"); !strings.Contains(list, "Import 2 sources.csv 1 added by someone at this machine") {
		t.Errorf("listed: %s", list)
	}
	if old := k.get("/import/upload?id=1").text("main"); !strings.Contains(old, "Taken in, as import 1") || !strings.Contains(old, "sources") {
		t.Errorf("one that was not sent here: %s", old)
	}
}

func importsOf(t testing.TB, store *db.DB) (n int) {
	t.Helper()
	if err := store.Pool().QueryRow(t.Context(), `SELECT count(*) FROM imports`).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

// What is amiss stands beside its line, and cannot be taken in.
func TestImportPageOfFindings(t *testing.T) {
	t.Parallel()
	handler, _ := keeping(t, nil)
	k := atHome(t, handler)
	const hostile = "<script>alert(1)</script>"
	page, at := k.ended(k.send(hidden(k.get("/import"), "/import"),
		"sources.csv", "source,title,issued\nLeaflet 9,x,=1+1\n", "boards.csv", "part_number,family\nZQ-PA-118,Pavanne\nX-1,"+hostile+"\n"))
	if len(page.all(`form[action=/import/take]`)) != 0 || len(page.all("main script")) != 0 {
		t.Error("it can be taken in, or runs what was sent")
	}
	rows := page.all(".findings tbody tr")
	if len(rows) != 3 || len(page.all("section.sheet h3")) != 2 {
		t.Fatalf("%d rows: %s", len(rows), page.text("main"))
	}
	all := page.text("main")
	for _, want := range []string{"2 issued =1+1", "2 family Pavanne", "Right would be: Pavane", hostile} {
		if !strings.Contains(all, want) {
			t.Errorf("it lacks %q: %s", want, all)
		}
	}
	file := k.get(strings.Replace(at, "/upload", "/findings", 1))
	if !strings.HasPrefix(file.Header().Get("Content-Type"), "text/csv") || !strings.Contains(file.Body.String(), "'=1+1") {
		t.Errorf("%s: %s", file.Header().Get("Content-Type"), file.Body)
	}
	if none := k.get("/import/upload?id=uaaaaaaaaaaaaaaaaaaaaaaaaaa"); none.Code != http.StatusNotFound {
		t.Errorf("status %d", none.Code)
	}
}

// What takes a consent is ticked on the page, and taken in then.
func TestImportPageAsksForConsent(t *testing.T) {
	t.Parallel()
	handler, _ := keeping(t, nil)
	k := atHome(t, handler)
	const stock = "location,part_number,revision,condition,quantity\nfront,ZQ-PA-118,,new,3\nfront,no such board,,new,1\n"
	page, _ := k.ended(k.send(hidden(k.get("/import"), "/import"), "stock.csv", stock))
	ticks := page.all("form[action=/import/take] input[name=consent]")
	if len(ticks) != 1 || valueOf(ticks[0], "value") != "skip-unknown-stock" || !hasAttribute(ticks[0], "required") {
		t.Fatalf("%d ticks: %s", len(ticks), page.text("main"))
	}
	form := hidden(page, "/import/take")
	form["consent"] = "skip-unknown-stock"
	if done, _ := k.ended(k.post("/import/take", form)); !strings.Contains(done.text("h1"), "Taken in") {
		t.Errorf("with it: %s", done.text("main"))
	}
}

// pageTokens are the tokens of the pages' tests, by their texts.
type pageTokens map[string]standin.Token

func (p pageTokens) TokenOf(_ context.Context, text string) (standin.Token, error) {
	if token, ok := p[text]; ok {
		return token, nil
	}
	return standin.Token{}, &standin.Error{Code: standin.CodeUnauthorized, Message: "the token is not known"}
}

func (pageTokens) AddToken(context.Context, standin.NewToken) (string, standin.Token, error) {
	panic("not asked of pages")
}
func (pageTokens) ListTokens(context.Context) ([]standin.Token, error) { panic("not asked of pages") }
func (pageTokens) RevokeToken(context.Context, string) (standin.Token, error) {
	panic("not asked of pages")
}

// Who may send a bundle through the pages, and from where.
func TestWhoMayImportByPage(t *testing.T) {
	t.Parallel()
	known := pageTokens{
		"keeper": {ID: 1, Name: "keeper", Scopes: []standin.Scope{standin.ScopeCatalogue}},
		"other":  {ID: 2, Name: "other", Scopes: []standin.Scope{standin.ScopeCatalogue}},
		"reader": {ID: 3, Name: "reader", Scopes: []standin.Scope{standin.ScopeRead}},
		"front":  {ID: 4, Name: "front", Scopes: []standin.Scope{standin.ScopeCatalogue}, Location: "front"},
	}
	open, _ := keeping(t, func(c *api.Config) { c.Tokens = known })
	guarded, store := keeping(t, func(c *api.Config) { c.Tokens, c.Guarded = known, true })
	public, _ := keeping(t, func(c *api.Config) { c.Tokens, c.PublicURL = known, "https://boards.example" })
	for name, c := range map[string]struct {
		handler http.Handler
		change  func(*keeperAt)
		want    int
	}{
		"at the machine":              {open, nil, 200},
		"by its address":              {open, func(k *keeperAt) { k.host = "127.0.0.1:8470" }, 200},
		"by its address, version 6":   {open, func(k *keeperAt) { k.from, k.host = "[::1]:5000", "[::1]:8470" }, 200},
		"from elsewhere":              {open, func(k *keeperAt) { k.from = "192.0.2.7:5000" }, 303},
		"by a name made to lead here": {open, func(k *keeperAt) { k.host = "boards.example" }, 303},
		"through a proxy":             {open, func(k *keeperAt) { k.header = []string{"X-Forwarded-For", "192.0.2.7"} }, 303},
		"of a public service":         {public, nil, 303},
		"of a guarded service":        {guarded, nil, 303},
		"a token that is not known":   {guarded, func(k *keeperAt) { k.cookie = "no" }, 303},
		"a token that may":            {guarded, func(k *keeperAt) { k.cookie, k.from = "keeper", "192.0.2.7:5000" }, 200},
		"a token that may read":       {guarded, func(k *keeperAt) { k.cookie = "reader" }, 403},
		"a token of one location":     {guarded, func(k *keeperAt) { k.cookie = "front" }, 403},
		"the same where all may read": {open, func(k *keeperAt) { k.cookie = "reader" }, 403},
	} {
		k := atHome(t, c.handler)
		if c.change != nil {
			c.change(k)
		}
		for _, address := range []string{"/import", "/import/upload?id=1", "/import/findings?id=1"} {
			if got := k.get(address); got.Code != c.want {
				t.Errorf("%s, %s: status %d, want %d", name, address, got.Code, c.want)
			}
		}
		if got := k.post("/import/undo", map[string]string{"id": "1", "key": "a"}); c.want != 200 && got.Code != c.want {
			t.Errorf("%s, a form: status %d, want %d", name, got.Code, c.want)
		}
	}
	// A form is of whoever was shown it, and is no other site's.
	keeper, other := atHome(t, guarded), atHome(t, guarded)
	keeper.cookie, other.cookie = "keeper", "other"
	form := hidden(keeper.get("/import"), "/import")
	if got := other.send(form, "sources.csv", leaflet); got.Code != http.StatusForbidden {
		t.Errorf("somebody else's form: status %d", got.Code)
	}
	if got := keeper.send(map[string]string{"key": form["key"]}, "sources.csv", leaflet); got.Code != http.StatusForbidden {
		t.Errorf("a form without its token: status %d", got.Code)
	}
	if got := keeper.post("/import/undo", map[string]string{"id": "1", "key": "a"}); got.Code != http.StatusForbidden {
		t.Errorf("an undo without its token: status %d", got.Code)
	}
	keeper.header = []string{"Sec-Fetch-Site", "cross-site"}
	if got := keeper.send(form, "sources.csv", leaflet); got.Code != http.StatusForbidden {
		t.Errorf("another site's form: status %d", got.Code)
	}
	if got := importsOf(t, store); got != 1 {
		t.Errorf("%d imports", got)
	}
	keeper.header = nil
	keeper.ended(keeper.send(form, "sources.csv", leaflet))
	if len(atHome(t, over(t, store)).get("/").all(`footer a[href=/import]`)) != 0 || len(keeper.get("/").all(`footer a[href=/import]`)) != 1 {
		t.Error("the first page leads to where bundles are sent to where there is none, or does not")
	}
}

// What is wrong with a form is said on a page that leads back to it.
func TestImportFormFaults(t *testing.T) {
	t.Parallel()
	handler, _ := keeping(t, nil)
	k := atHome(t, handler)
	form := func(key string) map[string]string {
		form := hidden(k.get("/import"), "/import")
		if key != "" {
			form["key"] = key
		}
		return form
	}
	k.ended(k.send(form("used"), "sources.csv", leaflet))
	for name, c := range map[string]struct {
		got    shown
		status int
		says   string
	}{
		"no file":              {k.send(form("")), 400, "There is no file"},
		"the key of another":   {k.send(form("used"), "sources.csv", strings.ReplaceAll(leaflet, "Trout", "Pike")), 422, "choose a new one"},
		"a name that will not": {k.send(form(""), ".csv", leaflet), 400, "begins with a dot"},
		"two of one name":      {k.send(form(""), "a.csv", leaflet, "A.csv", leaflet), 400, "Two files are named"},
		"nothing to undo":      {k.post("/import/undo", merge(form(""), "id", "99")), 404, "no import 99"},
		"nothing to take":      {k.post("/import/take", merge(form(""), "id", "x")), 404, "no upload x"},
	} {
		if c.got.Code != c.status || !strings.Contains(c.got.text("main"), c.says) {
			t.Errorf("%s: status %d: %s", name, c.got.Code, c.got.text("main"))
		}
	}
}

func merge(form map[string]string, name, value string) map[string]string {
	form[name] = value
	return form
}

func TestImportAccess(t *testing.T) {
	t.Parallel()
	handler, _ := keeping(t, nil)
	k := atHome(t, handler)
	_, refused := k.ended(k.send(hidden(k.get("/import"), "/import"), "sources.csv", "source,title,issued\nLeaflet 9,x,=1+1\n", "boards.csv", "part_number,family\nZQ-PA-118,Pavanne\n"))
	_, checked := k.ended(k.send(hidden(k.get("/import"), "/import"), "sources.csv", leaflet, "boards.csv", "part_number,family,title\nZQ-PA-118,Pavane,New\n"))
	const table = "Manufacturer;Type no.;Appliance\nAldor;W 100;washer\nAldor;W 200;dryer\n"
	_, list := k.ended(k.send(hidden(k.get("/import"), "/import"), "list.csv", table))
	reviewed(t, handler, map[string]string{
		"import": "/import", "import-table": list, "import-mapping": strings.Replace(list, "/upload", "/mapping", 1),
		"import-refused": refused, "import-checked": checked, "import-done": "/import/upload?id=1",
	})
}

// A supplier's table is proposed a mapping for, whose choices are kept.
func TestImportPageOfATable(t *testing.T) {
	t.Parallel()
	handler, _ := keeping(t, nil)
	k := atHome(t, handler)
	const table = "Manufacturer;Type no.;Appliance;Part\nAldor;W 100;washer;TB-1\nAldor;W 200;dryer;TB-2\nAldor;W 300;washer;TB-3\n"
	sent, _ := k.ended(k.send(hidden(k.get("/import"), "/import"), "list.csv", table))
	if text := sent.text("h1"); text != "It cannot be taken in; nothing is changed" || len(sent.all("form[action=/import/take]")) != 0 {
		t.Errorf("as a bundle: %s", text)
	}
	links := sent.all("a.press")
	if len(links) == 0 || !strings.HasPrefix(valueOf(links[0], "href"), "/import/mapping?id=") {
		t.Fatalf("no way to a mapping: %s", sent.text("main"))
	}
	at := valueOf(links[0], "href")
	page := k.get(at)
	if page.Code != http.StatusOK || len(page.all("select")) < 2 || !strings.Contains(page.text("main"), "sure") {
		t.Fatalf("status %d: %s", page.Code, page.text("main"))
	}
	form := chosen(page)
	for name, value := range form {
		switch value {
		case "Appliance", "Part":
			form[name] = "" // it is left out
		}
	}
	checked, _ := k.ended(k.post("/import/mapping", form))
	text := checked.text("main")
	if !strings.Contains(text, "nothing is changed yet") || !strings.Contains(text, "W 100") || strings.Contains(text, "washer") || strings.Contains(text, "TB-1") {
		t.Fatalf("checked by it: %s", text)
	}
	if again := k.get(at); strings.Contains(again.text("main"), "part_number") || len(again.all("select")) != 2 || !strings.Contains(again.text("main"), "Not used: Appliance, Part.") {
		t.Errorf("what was chosen is not kept: %s", again.text("main"))
	}
	byText := chosen(k.get(at))
	byText["by"], byText["mapping"] = "text", "rows: [{file: models, columns: {brand: Manufacturer}}]"
	refused, _ := k.ended(k.post("/import/mapping", byText))
	if !strings.Contains(refused.text("main"), "model") || len(refused.all(".findings")) == 0 {
		t.Errorf("by a text that is wrong: %s", refused.text("main"))
	}
	k.ended(k.post("/import/mapping", form)) // sent again by a browser that went back: it acts once
	if none := k.get("/import/mapping?id=uaaaaaaaaaaaaaaaaaaaaaaaaaa"); none.Code != http.StatusNotFound {
		t.Errorf("status %d", none.Code)
	}
}

// chosen is the first form of a mapping as it is sent.
func chosen(page shown) map[string]string {
	form := hidden(page, "/import/mapping")
	delete(form, "by")
	for _, n := range page.all("#mapping select") {
		for option := range n.ChildNodes() {
			if hasAttribute(option, "selected") {
				form[valueOf(n, "name")] = textOf(option)
			}
		}
	}
	for _, n := range page.all("#mapping input[type=text]") {
		form[valueOf(n, "name")] = valueOf(n, "value")
	}
	form["mapping"] = strings.TrimPrefix(rawText(page.one("#mapping textarea")), "\n")
	return form
}

func hasAttribute(n *html.Node, name string) bool {
	for _, a := range n.Attr {
		if a.Key == name {
			return true
		}
	}
	return false
}

// rawText is the text of an element with its line ends.
func rawText(n *html.Node) string {
	if n.FirstChild == nil {
		return ""
	}
	return n.FirstChild.Data
}

// With scripts the page of an upload goes on by itself, and a form that is sent twice at
// once is sent once.
func TestImportWithScripts(t *testing.T) {
	t.Parallel()
	handler, store := keeping(t, nil)
	k := atHome(t, handler)
	block, err := stored.NewStore(store).OpenImport(t.Context(), standin.ImportRequest{})
	if err != nil {
		t.Fatal(err)
	}
	defer block.Rollback()
	at := k.send(hidden(k.get("/import"), "/import"), "sources.csv", leaflet).Header().Get("Location")
	var posts atomic.Int64
	counting := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			posts.Add(1)
			time.Sleep(300 * time.Millisecond) // long enough to press again
		}
		handler.ServeHTTP(w, r)
	})
	b := open(t, counting, phone, at)
	if text := b.text("h1"); text != "Waiting for its turn" {
		t.Errorf("it begins with %s", text)
	}
	block.Rollback()
	b.see("form.act button") // it has loaded itself again at the end
	evaluate[bool](b, `document.querySelector("form.act button").click(), new Promise(done => setTimeout(() => {
		document.querySelector("form.act button").click();
		done(true);
	}, 100))`)
	b.see("form[action='/import/undo']")
	if text := b.text("h1"); text != "Taken in, as import 2" || posts.Load() != 1 || importsOf(t, store) != 2 {
		t.Errorf("%s, after %d forms, %d imports", text, posts.Load(), importsOf(t, store))
	}
}
