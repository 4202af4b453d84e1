package page_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// What a point must show is not on the page before everything is read: people
// shall read, not confirm.
func TestReadingDoesNotTell(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for name, read := range map[string]string{"nothing read": "", "one read": "&p1=1", "one wrong": "&p1=0", "all but one": strings.Replace(allRead, "&p10=1", "", 1)} {
		page := get(t, handler, "/bench/reading?"+job+read)
		if len(page.all(".compared")) > 0 || strings.Contains(page.text("main"), "must be") {
			t.Errorf("%s: the page tells what it must show:\n%s", name, page.text("main"))
		}
		if got := len(page.all("input[type=radio]")); got != 40 {
			t.Errorf("%s: %d choices, want 4 for each of 10 points", name, got)
		}
	}
	page := get(t, handler, "/bench/reading?"+job+"&p1=1&p3=f")
	if got := page.text(".caution"); !strings.HasPrefix(got, "Still to read: Wash, Dry, End, Salt, Rinse-aid, Half, Eco and Delay.") {
		t.Errorf("it says %q", got)
	}
	for field, want := range map[string]string{"p1": "1", "p2": "?", "p3": "f"} {
		if got := valueOf(page.one("input[name="+field+"][checked]"), "value"); got != want {
			t.Errorf("%s is set to %s, want %s", field, got, want)
		}
	}
}

func TestReading(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for name, test := range map[string]struct {
		read, heading, says string
		differs             string
	}{
		"tallies":              {allRead, "It tallies", "The reading tallies.", ""},
		"either may be unread": {strings.Replace(allRead, "&p6=0", "", 1), "It tallies", "The reading tallies.", ""},
		"does not":             {wrongRead, "It does not tally", "Dry is unlit and must be lit and Half is unlit and must be lit", "4 Dry 8 Half"},
		"judged as it is":      {"&p1=1&judge=true", "Not proved yet", "Still to read: Wash", ""},
		"judged, and wrong":    {"&p1=0&judge=true", "It does not tally", "Prewash is unlit and must be lit", "1 Prewash"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			page := get(t, handler, "/bench/reading?"+job+test.read)
			if got := page.text("h1"); got != test.heading {
				t.Errorf("the heading is %q, want %q", got, test.heading)
			}
			if got := page.text(".do"); !strings.Contains(got, test.says) {
				t.Errorf("it says %q, want %q", got, test.says)
			}
			if got := strings.Join(page.texts(".differs th"), " "); got != test.differs {
				t.Errorf("marked: %q, want %q", got, test.differs)
			}
			if len(page.texts(".stories li")) > 0 != (test.differs != "") {
				t.Errorf("stories: %q", page.texts(".stories li"))
			}
		})
	}
}

// What was probably mis-keyed is told, likeliest first, and leads back to where
// the code is entered.
func TestReadingStories(t *testing.T) {
	t.Parallel()
	page := get(t, over(t, demoStore(t)), "/bench/reading?"+job+wrongRead)
	stories := page.texts(".stories li")
	if len(stories) < 3 || !strings.HasPrefix(stories[0], "Place 2: 3 was probably entered, 4 was meant") {
		t.Errorf("stories: %q", stories)
	}
	if got := valueOf(page.one("a[data-forget].press.big[href=/bench?"+job+"&step=11]"), "href"); got == "" {
		t.Error("nothing leads back to the code")
	}
}

func TestReadingRefused(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	for read, says := range map[string]string{
		"&p1=2": "p1 is \"2\"; it may be 1 (lit)", "&p1=": "as 1 lit", "&p1=1&p1=0": "once", "&p11=1": "there are 10 points to read",
		"&p0=1": "takes no \"p0\"", "&p01=1": "takes no", "&q=1": "takes no",
	} {
		page := get(t, handler, "/bench/reading?"+job+read)
		if got := page.text("main"); page.Code != http.StatusBadRequest || !strings.Contains(strings.ToLower(got), strings.ToLower(says)) {
			t.Errorf("%s: status %d, %q; want %q", read, page.Code, got, says)
		}
	}
	page := get(t, handler, "/bench/reading?brand=Ukkelholt&model=UKH+4510&part_number=ZQ-XX")
	if page.Code != http.StatusNotFound {
		t.Errorf("status %d", page.Code)
	}
}

func TestIdentify(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	choose := get(t, handler, "/identify")
	if got := strings.Join(choose.texts(".stages a"), "; "); !strings.Contains(got, "Pavane Dishwasher control") {
		t.Errorf("families: %s", got)
	}
	asked := get(t, handler, "/identify?family=Pavane")
	if len(asked.all("input[type=radio]")) != 40 || len(asked.all(".settings")) > 0 {
		t.Error("there is not just the reading to be set")
	}
	exact := get(t, handler, "/identify?family=Pavane"+allRead)
	if got := exact.text(".exact"); !strings.Contains(got, "as read 3 4 12 2 Fenlask Vask 690") {
		t.Errorf("exact: %q", got)
	}
	if got := exact.text(".do"); got != "One recorded setting is as read." {
		t.Errorf("it says %q", got)
	}
	near := get(t, handler, "/identify?family=Pavane"+wrongRead)
	if len(near.all(".exact")) > 0 || !strings.Contains(near.text("main"), "Not as read at Dry and Half.") {
		t.Errorf("near: %s", near.text("main"))
	}
	nothing := get(t, handler, "/identify?family=Pavane&p1=?")
	if got := nothing.text(".do"); !strings.HasPrefix(got, "No point was read") {
		t.Errorf("it says %q", got)
	}
	if page := get(t, handler, "/identify?family=Nobody"); page.Code != http.StatusNotFound {
		t.Errorf("status %d", page.Code)
	}
}

// A job from its first page to what was mis-keyed, by touch on a phone.
func TestBenchByTouch(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), phone, "/bench?"+job)
	b.tap("a.big[href*='step=1']")
	for step := 1; step < 18; step++ { // the eighteenth is the reading
		b.arrive(fmt.Sprintf("/bench?%s&step=%d", job, step))
		b.see(fmt.Sprintf("#job[data-step='%d']", step))
		b.tap(".steps [rel=next]")
	}
	b.arrive("/bench/reading?" + job)
	b.see("#reading")
	for place, shows := range []string{"1", "1", "f", "0", "1", "0", "f", "0", "0", "1"} {
		b.tap(point(place, shows))
	}
	b.tap("#reading .steps button")
	b.see(".tally")
	if got := b.text("h1"); got != "It does not tally" {
		t.Errorf("the heading is %q", got)
	}
	if got := b.text(".caution"); !strings.Contains(got, "must not go back into use") {
		t.Errorf("it cautions %q", got)
	}
	b.tap("a.big[data-forget]")
	b.arrive("/bench?" + job + "&step=11")
}

// Everything to be pressed on the way is large enough for a gloved thumb.
func TestBenchTargets(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), phone, "/bench/reading?"+job)
	for _, address := range []string{"/bench?" + job, "/bench?" + job + "&step=14", "/bench/reading?" + job, "/bench/reading?" + job + wrongRead} {
		b.visit(address)
		small := evaluate[string](b, `[...document.querySelectorAll(".big, .choices label")].filter(e => e.checkVisibility()).map(e => e.getBoundingClientRect())
			.filter(r => r.height < 48 || r.width < 48).map(r => r.width + "x" + r.height).join(" ")`)
		if small != "" {
			t.Errorf("%s: too small for a thumb: %s", address, small)
		}
	}
}

// The same without scripts: links and forms, and the address holds where one is.
func TestBenchWithoutScripts(t *testing.T) {
	t.Parallel()
	s := phone
	s.noScripts = true
	b := open(t, over(t, demoStore(t)), s, "/bench?"+job+"&step=17")
	b.tap(".steps [rel=next]")
	b.arrive("/bench/reading?" + job)
	b.tap(point(0, "1"))
	b.tap("#reading .steps button")
	b.see(".caution")
	if got := b.where(); !strings.Contains(got, "p1=1") {
		t.Errorf("the address %s does not hold what was read", got)
	}
	b.visit(b.where()) // a reload
	for place, shows := range []string{"1", "1", "f", "1", "1", "0", "f", "1", "0", "1"} {
		if place > 0 {
			b.tap(point(place, shows))
		}
	}
	b.tap("#reading .steps button")
	b.see(".tally")
	if got := b.text("h1"); got != "It tallies" {
		t.Errorf("the heading is %q", got)
	}
}

// The script keeps the step and the reading, so that a phone that forgets the
// page loses nothing.
func TestBenchResumes(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), phone, "/bench?"+job+"&step=11")
	b.visit("/bench?" + job)
	b.see("#resume a")
	if got := b.text("#resume a"); got != "Go on at step 11" {
		t.Errorf("it offers %q", got)
	}
	b.tap("#resume a")
	b.arrive("/bench?" + job + "&step=11")

	b.visit("/bench/reading?" + job)
	b.tap(point(2, "f"))
	b.visit("/bench/reading?" + job)
	if got := evaluate[string](b, `document.querySelector("[name=p3]:checked").value`); got != "f" {
		t.Errorf("the third point is %q after a reload, want f", got)
	}
	b.visit("/bench?" + strings.Replace(job, "revision=A", "revision=B", 1))
	if evaluate[bool](b, `!document.getElementById("resume").hidden`) {
		t.Error("another job goes on where this one was")
	}
}

// By keyboard alone: the points are radio buttons, so arrows set them.
func TestReadingByKeyboard(t *testing.T) {
	t.Parallel()
	b := open(t, over(t, demoStore(t)), desktop, "/bench/reading?"+job)
	evaluate[bool](b, `document.querySelector("[name=p1]:checked").focus(), true`)
	b.keys(kb.ArrowLeft) // from unread to flashing
	b.keys(kb.Tab + kb.ArrowRight)
	if got := evaluate[string](b, `[...document.querySelectorAll("#reading :checked")].map(i => i.value).join("")`); got != "f1????????" {
		t.Errorf("the reading is %s", got)
	}
	b.keys(kb.Enter)
	b.see(".caution")
}

// point is the selector of what a point, from 0, may show.
func point(place int, shows string) string {
	return fmt.Sprintf("[name=p%d][value='%s']", place+1, shows)
}
