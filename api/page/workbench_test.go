package page_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The contents of a job: cautions before anything else, then the steps in the
// order of the work.
func TestBench(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), "/bench?"+job)
	if page.Code != http.StatusOK {
		t.Fatalf("status %d", page.Code)
	}
	if got := page.text(".bench-job"); got != "ZQ-PA-140 revision A into Fenlask Vask 690" {
		t.Errorf("the job is %q", got)
	}
	if got := page.text("#job .warn"); !strings.Contains(got, "prove it dead") || !strings.Contains(got, "licensed people") {
		t.Errorf("the cautions are %q", got)
	}
	want := []string{"Compare the label ZQ-PA-140 revision A", "Check dispenser", "Check drain",
		// IEC 60335-1 clause 10.1 table 1: 2800 W + 5 % and − 10 % at 230 V.
		"Check heater 18.0 to 21.0 Ω",
		"Check inlet", "Check pump", "Pull the plugs, fit the board swappable plugs",
		"Put on CN1, CN2, CN3 and ZQ-LM-110 J1 If it is build b1", "Put on CN1, CN2, CN3 and CN4 If it is build b2",
		"Put on CN5 and ZQ-LM-110 J1 If it is build b2", "Close the panel before the machine is plugged in live",
		"Hold Start alone while switching on live", "Enter 3, symbol 1 of 4 live", "Enter 4, symbol 2 of 4 live",
		"Enter 12, symbol 3 of 4 live", "Enter 2, symbol 4 of 4 live", "Hold Start to confirm live", "Read it back 10 points",
		"Check after repair, 1 of 2 look, protective conductor, class I and insulation resistance, class I",
		"Check after repair, 2 of 2 protective-conductor current, class I, touch current, class I and function", "Hand the machine back"}
	if diff := cmp.Diff(want, page.texts(".stages a")); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
}

func TestBenchStages(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for name, test := range map[string]struct {
		step string
		want map[string]string // by selector
	}{
		"board": {"1", map[string]string{".do": "The label reads ZQ-PA-140, revision A.", ".caution": "Hold the board by its edges, with a wrist strap on."}},
		"load":  {"4", map[string]string{".expect b": "18.0 to 21.0 Ω", ".caution": "Isolated, and proved dead? Capacitors may hold a charge."}},
		"symbol": {"14", map[string]string{".code .now": "4 (now)", ".expect": "Expect Wash lights.",
			".caution": "The machine is live while it is configured: panels closed, hands and tools out."}},
		"finish": {"17", map[string]string{"h1": "Hold Start to confirm", ".do": "Hold for 2 s."}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			page := get(t, handler, "/bench?"+job+"&step="+test.step)
			for selector, want := range test.want {
				if got := page.text(selector); got != want {
					t.Errorf("%s is %q, want %q", selector, got, want)
				}
			}
		})
	}
}

// The plugs that can be taken for each other are marked, and the headers that
// the same plug seats on are a caution where the plugs are.
func TestBenchPlugs(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	var marked, joined []string
	for _, step := range []string{"9", "10"} {
		page := get(t, handler, "/bench?"+job+"&step="+step)
		marked = append(marked, page.texts(".joins .alike .number")...)
		joined = append(joined, page.texts(".joins tbody tr")...)
		if got := strings.Join(page.texts(".caution"), " "); !strings.Contains(got, "CN7 and CN8 take the same plug") {
			t.Errorf("step %s: the cautions are %q", step, got)
		}
	}
	if got := strings.Join(marked, " "); got != "CN4 CN7 CN5 CN8" {
		t.Errorf("marked: %q", got)
	}
	// Which plug goes where: through the adaptor, from the harness to the board.
	if got := strings.Join(joined, "; "); !strings.Contains(got, "CN3 5 ways loom ZQ-LM-110 P1") || !strings.Contains(got, "loom ZQ-LM-110 J1 5 ways header CN9") {
		t.Errorf("the connections are %q", got)
	}
	page := get(t, handler, "/bench?"+job+"&step=7")
	if got := strings.Join(page.texts(".caution"), " "); !strings.Contains(got, "CN7 and CN8 take the same plug") {
		t.Errorf("the cautions are %q", got)
	}
	if got := page.text(".points"); !strings.Contains(got, "ZQ-LM-110") {
		t.Errorf("the adaptors are %q", got)
	}
}

// What is measured is compared, both sides of both limits.
func TestBenchMeasured(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for measured, want := range map[string]string{
		"17.9": "Below", "18": "Within", "20.9": "Within", "20,9": "Within", "21": "Above", "0": "Below",
	} {
		page := get(t, handler, "/bench?"+job+"&step=4&measured="+measured)
		if got := page.text(".said"); !strings.HasPrefix(got, want) {
			t.Errorf("%s Ω: %q, want %s", measured, got, want)
		}
	}
	for _, measured := range []string{"many", "-1", "Inf", "NaN", "1e999"} {
		if page := get(t, handler, "/bench?"+job+"&step=4&measured="+measured); page.Code != http.StatusBadRequest {
			t.Errorf("%s Ω: status %d", measured, page.Code)
		}
	}
}

// There is no bench for a board that does not fit, or that may not: the page
// says why and leads to what settles it.
func TestNoBench(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for name, test := range map[string]struct {
		address string
		status  int
		heading string
		says    string
		link    string // that the page leads to
	}{
		"depends": {"brand=Fenlask&model=Vask+690&part_number=ZQ-PA-131&revision=C", http.StatusConflict, "Settle which build it is first",
			"Is there a plug with 10 ways on the harness?", "/bench?brand=Fenlask&model=Vask+690&plug=10&part_number=ZQ-PA-131&revision=C"},
		"does not fit": {"brand=Fenlask&model=Vask+690&part_number=ZQ-PA-125&revision=A", http.StatusConflict, "This board does not fit",
			"this revision is issue 3", "/fits?brand=Fenlask&model=Vask+690"},
		"which revision": {"brand=Fenlask&model=Vask+690&part_number=ZQ-PA-140", http.StatusBadRequest, "Which revision is it?",
			"revisions B and A", "/bench?brand=Fenlask&model=Vask+690&part_number=ZQ-PA-140&revision=B"},
		"another board": {"brand=Fenlask&model=Vask+690&part_number=NONE", http.StatusNotFound, "No such board for this machine",
			"NONE", "/fits?brand=Fenlask&model=Vask+690"},
		"contradiction": {"brand=Fenlask&model=Vask+690&plug=99&part_number=ZQ-PA-140&revision=A", http.StatusConflict, "Settle which build it is first",
			"contradicts itself", "/fits?brand=Fenlask&model=Vask+690&plug=99"},
		"no board":       {"brand=Fenlask&model=Vask+690", http.StatusBadRequest, "That cannot be read", "art_number is empty", "/"},
		"unknown model":  {"brand=Fenlask&model=Vesk+690&part_number=ZQ-PA-140", http.StatusNotFound, "No such model is recorded", "Vesk", "/fits?brand=Fenlask&model=Vask+690"},
		"no such step":   {job + "&step=99", http.StatusBadRequest, "That cannot be read", "steps 1 to 21", "/"},
		"misspelt":       {job + "&stp=9", http.StatusBadRequest, "That cannot be read", "stp", "/"},
		"not a reading":  {job + "&step=1&measured=5", http.StatusBadRequest, "That cannot be read", "no resistance", "/"},
		"hostile values": {"brand=%3Cscript%3E&model=%3Cb%3Ex&part_number=%3Ci%3E", http.StatusNotFound, "No such model is recorded", "<script> <b>x", "/"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			page := get(t, handler, "/bench?"+test.address)
			if page.Code != test.status {
				t.Errorf("status %d, want %d", page.Code, test.status)
			}
			if got := page.text("h1"); got != test.heading {
				t.Errorf("the heading is %q, want %q", got, test.heading)
			}
			if got := page.text("main"); !strings.Contains(got, test.says) {
				t.Errorf("no %q in %q", test.says, got)
			}
			if len(page.all("a[href="+test.link+"]")) == 0 {
				t.Errorf("no link to %s in\n%s", test.link, page.Body)
			}
			if len(page.all(".stages"))+len(page.all(".steps")) > 0 && test.status == http.StatusConflict {
				t.Error("there are steps")
			}
		})
	}
	for _, path := range []string{"/bench/reading", "/bench/print"} {
		page := get(t, handler, path+"?brand=Fenlask&model=Vask+690&part_number=ZQ-PA-125&revision=A")
		if page.Code != http.StatusConflict {
			t.Errorf("%s: status %d", path, page.Code)
		}
	}
}

// What the print view has is what the job sheet has.
func TestBenchPrint(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), "/bench/print?"+job+"&serial=4410")
	text := page.text("main")
	for _, want := range []string{"Fenlask Vask 690", "ZQ-PA-140 revision A", "4410", "Fenlask parts list 2012", "Catalogue version",
		"prove it dead", "CN7 and CN8 take the same plug", "18.0 to 21.0 Ω", "may be taken for plug CN5 and header CN8", "ZQ-LM-110", "Enter 4, symbol 2 of 4", "Turn the dial to 1, hold Start and switch on", "Expect: Wash lights.",
		"lit unlit flashing",
		// EN 50678:2020.
		"at most 0.3 Ω up to 5 m", "Insulation resistance, class I: ",
		"Fold back here before reading.", "Up to 1 misread point would be noticed."} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if got := strings.Join(page.texts(".fold .lamps li"), "; "); !strings.HasPrefix(got, "1 Prewash ● lit; 2 Wash ● lit; 3 Rinse ◐ flashing") {
		t.Errorf("the pattern is %q", got)
	}
}

// Names out of a bundle are text on every page of a job, with and without scripts
// of our own.
func TestBenchHostile(t *testing.T) {
	t.Parallel()
	handler := over(t, imported(t, hostileBundle(t)))
	b := open(t, handler, phone, "/")
	for i, h := range hostile {
		n := string(rune('0' + i))
		query := strings.TrimPrefix(ask("brand", h+n, "model", h, "variant", h), "/fits?") + "&made=2001&part_number=" + url.QueryEscape(h+n) +
			"&revision=" + url.QueryEscape(h) + "&serial=" + url.QueryEscape(h)
		for _, address := range []string{"/bench?" + query, "/bench?" + query + "&step=1", "/bench?" + query + "&step=3", "/bench?" + query + "&step=4",
			"/bench/reading?" + query, "/bench/reading?" + query + "&p1=0&p2=0", "/bench/print?" + query,
			"/identify", "/identify?family=" + url.QueryEscape(h+n) + "&p1=1"} {
			if page := get(t, handler, address); page.Code != http.StatusOK {
				t.Errorf("%s: status %d: %s", address, page.Code, page.text("main"))
			}
			b.visit(address)
			if evaluate[bool](b, `"harmed" in window || document.querySelector("main script, main img, main [onfocus], main [onload]") !== null`) {
				t.Errorf("%s: %q did harm", address, h)
			}
		}
	}
}
