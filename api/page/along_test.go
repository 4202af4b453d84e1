package page_test

import (
	"context"
	"net"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"standin"
	"standin/api"
	"standin/db"
	"standin/db/shop"
)

// stoppable is a server that can be stopped and started again at its address.
type stoppable struct {
	t       *testing.T
	handler http.Handler
	address string
	server  *http.Server
	sent    atomic.Int32 // fittings that came
	lose    atomic.Bool  // the answer to the next fitting is lost
}

func newStoppable(t *testing.T, handler http.Handler) *stoppable {
	s := &stoppable{t: t, handler: handler, address: "127.0.0.1:0"}
	s.start()
	t.Cleanup(s.stop)
	return s
}

func (s *stoppable) start() {
	s.t.Helper()
	listener, err := net.Listen("tcp", s.address)
	if err != nil {
		s.t.Fatal(err)
	}
	s.address = listener.Addr().String()
	s.server = &http.Server{Handler: s, ReadHeaderTimeout: time.Minute}
	go func(server *http.Server) { _ = server.Serve(listener) }(s.server)
}

func (s *stoppable) stop() { _ = s.server.Close() }

// ServeHTTP counts fittings, and loses an answer where it shall.
func (s *stoppable) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.URL.Path == "/bench/fitting" {
		s.sent.Add(1)
		if s.lose.Swap(false) {
			s.handler.ServeHTTP(&lost{http.Header{}}, r)
			panic(http.ErrAbortHandler)
		}
	}
	s.handler.ServeHTTP(w, r)
}

// lost is an answer that nobody gets.
type lost struct{ header http.Header }

func (l *lost) Header() http.Header         { return l.header }
func (l *lost) Write(b []byte) (int, error) { return len(b), nil }
func (l *lost) WriteHeader(int)             {}

// offline takes the network away from the page, or gives it back.
func (b *tab) offline(away bool) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		if _, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
			EmulateOfflineServiceWorker: &away,
			MatchedNetworkConditions:    []*network.Conditions{{Offline: away, DownloadThroughput: -1, UploadThroughput: -1}},
		}); err != nil {
			return err
		}
		_, err := chromedp.Call(ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{
			Offline: away, DownloadThroughput: -1, UploadThroughput: -1,
		})
		return err
	}))
}

// says waits until the text of a selector has some words in it.
func (b *tab) says(selector, words string) {
	b.t.Helper()
	got := ""
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(50 * time.Millisecond) {
		got = evaluate[string](b, `document.querySelector("`+selector+`")?.innerText ?? ""`)
		if strings.Contains(got, words) {
			return
		}
	}
	b.t.Fatalf("%s says %q, want %q\n%s", selector, got, words, b.where())
}

// alongShop is a shop over the demo, with a phone that is signed in.
func alongShop(t *testing.T) (*db.DB, *stoppable, *tab) {
	t.Helper()
	database := demoStore(t)
	store := shop.NewStore(database)
	handler, err := api.New(api.Config{Catalogue: database, Shop: store, Tokens: store, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	token, _, err := store.AddToken(t.Context(), standin.NewToken{Name: "bench", Scopes: []standin.Scope{standin.ScopeFittings}})
	if err != nil {
		t.Fatal(err)
	}
	server := newStoppable(t, handler)
	b := open(t, handler, phone, "/")
	b.server = "http://" + server.address
	b.visit("/sign-in?to=/bench/along")
	evaluate[bool](b, `document.querySelector("[name=token]").value = "`+token+`", document.querySelector("form:has([name=token])").submit(), true`)
	b.arrive("/bench/along")
	return database, server, b
}

// takeAlong takes the job of the tests along.
func (b *tab) takeAlong() {
	b.t.Helper()
	b.visit("/bench?" + job)
	b.see("#take button")
	b.tap("#take button")
	b.says("#take .status", "It opens without a signal now")
}

// A job that was taken along is done with the server stopped and the network off: every
// page says that it is a copy, the reading is judged as the server does, and the fitting
// is sent when the server is there again, once, though the first answer is lost.
func TestWithoutASignal(t *testing.T) {
	t.Parallel()
	database, server, b := alongShop(t)
	b.visit("/bench/reading?" + job + wrongRead)
	online := []string{b.text("#job h1"), b.text("#job .do"), b.text("#job .caution"), b.text("#job .compared"), b.text("#job .stories")}
	b.takeAlong()
	b.picture("along-taken")
	server.stop()
	b.offline(true)

	b.visit("/bench?" + job)
	b.says(".copied", "Offline copy")
	b.picture("along-contents")
	b.visit("/bench?" + job + "&step=4&measured=17.1")
	b.says(".said", "Below what is expected")
	b.visit("/bench/reading?" + job + wrongRead)
	b.says(".tally", "It does not tally")
	for i, selector := range []string{"#job h1", "#job .do", "#job .caution", "#job .compared", "#job .stories"} {
		if got := b.text(selector); got != online[i] {
			t.Errorf("%s without a signal:\n%s\nwant, as the server:\n%s", selector, got, online[i])
		}
	}
	b.picture("along-wrong")
	b.visit("/bench/reading?" + job + "&p1=1")
	b.says("[role=alert].tight", "Still to read")
	b.visit("/bench/reading?" + job + allRead)
	b.says(".tally", "It tallies")
	for _, step := range []string{"19", "20", "21"} {
		b.tap(".steps [rel=next]")
		b.arrive("/bench?" + job + "&step=" + step)
		b.says(".copied", "Offline copy")
	}
	b.says("#proof", "Proved: The reading tallies")
	b.tap("#note label:has([value=works])")
	b.do(chromedp.SendKeys(chromedp.CSS("#reference"), "job 7"))
	b.tap("#note button[type=submit]")
	b.says("#note .sends", "kept here, sent when there is a signal")
	b.picture("along-noted")

	server.lose.Store(true)
	b.offline(false)
	server.start()
	b.says("#note .sends", "recorded as fitting")
	if got := server.sent.Load(); got < 2 {
		t.Errorf("it was sent %d times: no answer was lost", got)
	}
	fittings, err := shop.NewStore(database).ListFittings(t.Context(), standin.FittingFilter{}, 0, 10)
	if err != nil || len(fittings) != 1 {
		t.Fatalf("%d fittings, %v", len(fittings), err)
	}
	if f := fittings[0]; f.Tally != standin.Tallies || f.Outcome != standin.FittingWorks || f.Reference != "job 7" || f.PartNumber != "ZQ-PA-140" {
		t.Errorf("the fitting is %+v", f)
	}
	b.says("#along-said", "this job is as it was taken along")
	b.picture("along-again")
	b.visit("/bench?" + job)
	if evaluate[bool](b, `document.querySelector(".copied") !== null`) {
		t.Error("a copy is shown though the server answers")
	}
}

// What has changed since a job was taken along is said before anything else: another
// code, and a supply stop, on the copy and on the pages of the server.
func TestChangedSinceTaken(t *testing.T) {
	t.Parallel()
	database, server, b := alongShop(t)
	b.takeAlong()
	server.stop()
	b.visit("/bench?" + job + "&step=14")
	b.says(".copied", "Offline copy")
	change := func(sql string) {
		t.Helper()
		for _, one := range []string{sql, `UPDATE catalogue_state SET catalogue = catalogue + 1`} {
			if _, err := database.Pool().Exec(t.Context(), one); err != nil {
				t.Fatal(err)
			}
		}
		database.Changed()
	}
	change(`UPDATE procedure_steps SET "do" = 'Turn the dial twice' WHERE phase = 'enter' AND step = 1`)
	server.start()
	b.says("#along-said", "STOP. The catalogue has changed")
	b.says("#along-said", "Turn the dial twice")
	if evaluate[bool](b, `document.getElementById("job").checkVisibility()`) {
		t.Error("the old step is still shown")
	}
	b.picture("along-changed")
	b.visit("/bench?" + job)
	b.says("#along-said", "STOP. The catalogue has changed")
	b.tap("#along-said button")
	b.says("#take .status", "catalogue version 2")

	change(`UPDATE revisions SET stop = 'fire risk'`)
	server.stop()
	b.visit("/bench?" + job + "&step=14")
	b.says(".copied", "Offline copy")
	server.start()
	b.says("#along-said", "STOP. This job must not go on")
	b.says("#along-said", "fire risk")
	b.picture("along-stopped")
}
