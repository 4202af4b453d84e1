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
			first := &results[0].Answer.Candidates[0]
			if got, want := page.text(".best h2"), first.PartNumber; !strings.HasPrefix(got, want) {
				t.Errorf("on top stands %q, want %q", got, want)
			}
			if got, want := valueOf(page.one(".best .top .verdict"), "class"), "verdict "+first.Verdict.String(); got != want {
				t.Errorf("on top is %q, want %q", got, want)
			}
			var want, lines []string
			for _, c := range results[0].Answer.Candidates[1:results[0].Answer.Standing()] {
				want = append(want, strings.TrimSpace(c.PartNumber+" revision "+c.Revision)+" "+c.Verdict.String())
			}
			for _, line := range page.all(".line") {
				d := document{t, line}
				lines = append(lines, d.text(".part")+" "+strings.TrimPrefix(valueOf(d.one(".word"), "class"), "word "))
			}
			slices.Sort(want)
			slices.Sort(lines)
			if diff := cmp.Diff(want, lines); diff != "" {
				t.Errorf("other boards (-want +got):\n%s", diff)
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

func TestFitsBest(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), ask("brand", "Fenlask", "model", "Vask 690", "location", "front"))
	best := document{t, page.one(".best")}
	for _, want := range []string{
		"ZQ-PA-140 revision A, issue 6", "fits whichever build it is", "At front 1 new", "Enter 3 4 12 2", "Adaptor ZQ-LM-110",
		"CN7 and CN8 take the same plug", "Must read back:", "pass connectors:",
	} {
		if got := textOf(best.root); !strings.Contains(got, want) {
			t.Errorf("the block lacks %q:\n%s", want, got)
		}
	}
	job := "?brand=Fenlask&model=Vask+690&location=front&part_number=ZQ-PA-140&revision=A"
	for i, want := range []string{"/bench" + job, "/v1/sheets.pdf" + job} {
		if got := valueOf(best.all(".jobs a")[i], "href"); got != want {
			t.Errorf("link %d leads to %s, want %s", i, got, want)
		}
	}
	depends := document{t, page.all(".lines li.ticket")[1]}
	if len(depends.all(".jobs")) > 0 {
		t.Error("a board that depends on the build has a job before that is settled")
	}
	for _, want := range []string{"ZQ-PA-131", "depends", "Adaptor build b1 ZQ-LM-101", "Adaptor build b2 none"} {
		if got := textOf(depends.root); !strings.Contains(got, want) {
			t.Errorf("the second of the others lacks %q:\n%s", want, got)
		}
	}
}

// The revisions of a part stand together, those of which there is none are behind a
// line of their own, and a code that is not that of the board on top is marked.
func TestFitsOthers(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), ask("brand", "Fenlask", "model", "Vask 610", "location", "front"))
	var parts []string
	for _, line := range page.all(".others .line") {
		d := document{t, line}
		parts = append(parts, d.text(".part")+", "+d.text(".shelf"))
	}
	want := []string{
		"ZQ-PA-131 revision B, store 1 refurbished", // with the board on top
		"ZQ-PA-140 revision A, 1 new", "ZQ-PA-140 revision B, store 4 new",
		"ZQ-PA-171 revision A, 1 new",
		"ZQ-PA-152 revision A, store 1 new", "ZQ-PA-152 revision B, store 2 new",
		"ZQ-PA-118 revision C, store 1 used",
		"ZQ-PA-131 revision A, none", "ZQ-PA-118 revision D, none", "ZQ-PA-118 revision B, none",
	}
	if diff := cmp.Diff(want, parts); diff != "" {
		t.Errorf("the others (-want +got):\n%s", diff)
	}
	if got := page.texts(".bare .number"); len(got) < 3 || page.texts(".bare summary")[0] != "3 more that are not in stock" {
		t.Errorf("of those that are not in stock there are %d, behind %q", len(got), page.texts(".bare summary"))
	}
	if got := page.texts(".differs"); len(got) != 1 || got[0] != "another code: ≠ 1 4 2 7" {
		t.Errorf("marked codes: %q", got)
	}
}

// Where no location is chosen nothing is called here.
func TestFitsNoLocation(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), ask("brand", "Fenlask", "model", "Vask 690", "plug", "10"))
	if got := page.text(".best dl"); !strings.HasPrefix(got, "Stock front 2 new Enter") {
		t.Errorf("the shelf is %q", got)
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
