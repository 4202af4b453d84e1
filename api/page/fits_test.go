package page_test

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// ask is the address of the answer for a machine, in pairs of name and value.
func ask(pairs ...string) string {
	query := url.Values{}
	for pair := range slices.Chunk(pairs, 2) {
		query.Set(pair[0], pair[1])
	}
	return "/fits?" + query.Encode()
}

// The page says what the core says, in its order.
func TestFits(t *testing.T) {
	t.Parallel()
	store := demoStore(t)
	handler := over(t, store)
	for _, key := range []standin.ModelKey{
		{Brand: "Fenlask", Model: "Vask 690"}, {Brand: "Fenlask", Model: "Vask 640", Variant: "K07"}, {Brand: "Ruskelby", Model: "RK6-D3"},
		{Brand: "Tessilby", Model: "Brostle 27", Variant: "E"}, {Brand: "Ukkelholt", Model: "UKH 9010"}, {Brand: "Wexilund", Model: "WLD 11"},
	} {
		t.Run(key.String(), func(t *testing.T) {
			t.Parallel()
			results, err := standin.Ask(t.Context(), store, []standin.Machine{{ModelKey: key, Location: "front"}})
			if err != nil || results[0].Err != nil {
				t.Fatal(err, results)
			}
			page := get(t, handler, ask("brand", key.Brand, "model", key.Model, "variant", key.Variant, "location", "front"))
			if page.Code != http.StatusOK || page.text("h1") != key.String() {
				t.Errorf("status %d, heading %q", page.Code, page.text("h1"))
			}
			var want, names, verdicts, codes []string
			for _, c := range results[0].Answer.Candidates {
				if c.Verdict != standin.No {
					want = append(want, c.PartNumber)
					verdicts = append(verdicts, c.Verdict.String())
				}
			}
			for _, ticket := range page.all(".ticket") {
				d := document{t, ticket}
				names = append(names, d.text("h3 a"))
				codes = append(codes, strings.TrimSpace(strings.TrimPrefix(valueOf(d.one(".top .verdict"), "class"), "verdict")))
			}
			if diff := cmp.Diff(want, names); diff != "" {
				t.Errorf("boards (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(verdicts, codes); diff != "" {
				t.Errorf("verdicts (-want +got):\n%s", diff)
			}
			if got, want := len(page.all(".cautions li")), len(results[0].Answer.Cautions); got != want || want == 0 {
				t.Errorf("%d cautions, want %d", got, want)
			}
			if got, want := len(page.all(".loads li")), len(results[0].Answer.BeforeFitting); got != want {
				t.Errorf("%d loads to check, want %d", got, want)
			}
		})
	}
}

func TestFitsTicket(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), ask("brand", "Fenlask", "model", "Vask 690", "location", "front"))
	ticket := document{t, page.all(".ticket")[0]}
	for _, want := range []string{
		"ZQ-PA-140 revision A, issue 6", "fits", "Stock here 1 new", "Elsewhere none", "Enter 3 4 12 2", "Adaptor ZQ-LM-110",
		"CN7 and CN8 take the same plug", "Every check passes.", "Must read back:", "pass connectors:",
	} {
		if got := textOf(ticket.root); !strings.Contains(got, want) {
			t.Errorf("the first ticket lacks %q:\n%s", want, got)
		}
	}
	job := "?brand=Fenlask&model=Vask+690&location=front&part_number=ZQ-PA-140&revision=A"
	for i, want := range []string{"/bench" + job, "/v1/sheets.pdf" + job} {
		if got := valueOf(ticket.all(".jobs a")[i], "href"); got != want {
			t.Errorf("link %d leads to %s, want %s", i, got, want)
		}
	}
	depends := document{t, page.all(".ticket")[2]}
	if len(depends.all(".jobs")) > 0 {
		t.Error("a board that depends on the build has a job before that is settled")
	}
	third := textOf(depends.root)
	for _, want := range []string{"depends on the build", "Adaptor build b1 ZQ-LM-101", "Adaptor build b2 none", "its setting or adaptors differ"} {
		if !strings.Contains(third, want) {
			t.Errorf("the third ticket lacks %q:\n%s", want, third)
		}
	}
}

// Each choice is a link to the answer with it as evidence, together with what
// is known already.
func TestFitsQuestion(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	page := get(t, handler, ask("brand", "Fenlask", "model", "Vask 690", "location", "front", "serial", "?"))
	if got := page.text("#settles"); got != "Is there a plug with 10 ways on the harness?" {
		t.Errorf("the question is %q", got)
	}
	links := page.all(".ask-first a.press")
	if want := "/fits?brand=Fenlask&model=Vask+690&serial=%3F&plug=10&location=front"; valueOf(links[0], "href") != want {
		t.Errorf("the first choice leads to %s, want %s", valueOf(links[0], "href"), want)
	}
	settled := get(t, handler, valueOf(links[0], "href"))
	if len(settled.all("#settles")) > 0 || !strings.Contains(settled.text("main"), "Build b1: made") || strings.Contains(settled.text("main"), "Build b2: made") {
		t.Errorf("it is not settled:\n%s", settled.text("main"))
	}
	if !strings.Contains(settled.text("main"), "Not used: the serial number.") {
		t.Errorf("a serial that cannot be read is not said:\n%s", settled.text("main"))
	}
	if got := page.all(".ask-first details h3"); len(got) == 0 {
		t.Error("the other questions are not there")
	}
}

func TestFitsDoesNotFit(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	page := get(t, handler, ask("brand", "Fenlask", "model", "Vask 690"))
	if got := page.text(".ruled h2"); got != "And 9 boards that do not fit" || len(page.all(".ruled .o-fail")) > 0 {
		t.Errorf("%q, and %d reasons", got, len(page.all(".ruled .o-fail")))
	}
	all := get(t, handler, valueOf(page.one(".ruled a.press"), "href"))
	if got := len(all.all(".ruled .list h3")); got != 9 {
		t.Errorf("%d boards that do not fit, want 9", got)
	}
	if got := len(all.all(".ruled .o-fail")); got < 9 {
		t.Errorf("%d reasons for 9 boards", got)
	}
	if got := valueOf(all.one(".known [name=all]"), "value"); got != "true" {
		t.Errorf("further evidence does not keep them: all is %q", got)
	}
}

func TestFitsNothing(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), ask("brand", "Ukkelholt", "model", "UKH 8010"))
	if got := page.text(".summary"); got != "Nothing in the catalogue can stand in for this machine." {
		t.Errorf("the summary is %q", got)
	}
	if got := page.text(".ruled h2"); got != "The closest boards, and why they do not fit" || len(page.all(".ruled .list h3")) != 3 {
		t.Errorf("%q, %d boards", got, len(page.all(".ruled .list h3")))
	}
}

func TestContradiction(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	page := get(t, handler, ask("brand", "Fenlask", "model", "Vask 640", "variant", "K03", "plug", "6 2 2", "made", "2001", "location", "store"))
	if len(page.all(".ticket")) > 0 || page.text("#against") != "These cannot all be true" {
		t.Errorf("%d boards, heading %q", len(page.all(".ticket")), page.text("#against"))
	}
	var drops []string
	for _, a := range page.all("section.warn a.press") {
		drops = append(drops, valueOf(a, "href"))
	}
	want := []string{
		"/fits?brand=Fenlask&model=Vask+640&variant=K03&plug=6+2+2&location=store",
		"/fits?brand=Fenlask&model=Vask+640&variant=K03&made=2001&location=store",
	}
	if diff := cmp.Diff(want, drops); diff != "" {
		t.Errorf("links to drop a piece (-want +got):\n%s", diff)
	}
	for _, address := range drops {
		if without := get(t, handler, address); len(without.all(".ticket")) == 0 {
			t.Errorf("%s has no board either", address)
		}
	}
}
