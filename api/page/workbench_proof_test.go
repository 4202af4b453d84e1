package page_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// presses are the words and addresses of the large buttons, in order: the first is
// the main action.
func presses(s shown) []string {
	var all []string
	for _, n := range s.all("#job a.big") {
		all = append(all, textOf(n)+" -> "+valueOf(n, "href"))
	}
	return all
}

// An unproved setting leads nowhere but back.
func TestUnprovedLeadsBack(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	reading, again := "/bench/reading?"+job, "Enter the code again -> /bench?"+job+"&step=11"
	before := "/bench?" + job + "&step=20"
	for name, test := range map[string]struct {
		address string
		want    []string
	}{
		"does not tally": {reading + wrongRead, []string{again, "Read all again -> " + reading}},
		"not proved yet": {reading + "&p1=1&judge=true", []string{
			"Read what is missing -> " + reading + "&p1=1&p2=%3F&p3=%3F&p4=%3F&p5=%3F&p6=%3F&p7=%3F&p8=%3F&p9=%3F&p10=%3F", again, "Read all again -> " + reading}},
		"the last step, nothing read": {"/bench?" + job + "&step=21", []string{"Read it back -> " + reading, again, "Back -> " + before}},
		"the last step, misread":      {"/bench?" + job + "&step=21" + wrongRead, []string{"Read it back -> " + reading, again, "Back -> " + before + wrongRead}},
		"no pattern is recorded": {"/bench?brand=Ukkelholt&model=UKH+6040&part_number=ZQ-PA-131&revision=C&step=22", []string{
			"Enter the code again -> /bench?brand=Ukkelholt&model=UKH+6040&part_number=ZQ-PA-131&revision=C&step=10",
			"Back -> /bench?brand=Ukkelholt&model=UKH+6040&part_number=ZQ-PA-131&revision=C&step=21"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			page := get(t, handler, test.address)
			if diff := cmp.Diff(test.want, presses(page)); diff != "" {
				t.Errorf("buttons (-want +got):\n%s", diff)
			}
			if text := page.text("main"); strings.Contains(text, "All done") || !strings.Contains(text, "must not go back into use") {
				t.Errorf("it says\n%s", text)
			}
		})
	}
}

// A setting that is proved leads on, and to the label.
func TestProvedLeadsOn(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	last := "/bench?" + job + "&step=21" + allRead
	limits := "/bench?" + job + "&step=19" + allRead
	tallies := get(t, handler, "/bench/reading?"+job+allRead)
	label := "Label for the board (PDF) -> /v1/labels.pdf?" + job
	if diff := cmp.Diff([]string{label, "Read again -> /bench/reading?" + job, "Next: after repair -> " + limits}, presses(tallies)); diff != "" {
		t.Errorf("buttons (-want +got):\n%s", diff)
	}
	page := get(t, handler, last)
	if diff := cmp.Diff([]string{label, "Back -> /bench?" + job + "&step=20" + allRead, "All done: back to the answer -> /fits?brand=Fenlask&model=Vask+690"}, presses(page)); diff != "" {
		t.Errorf("buttons (-want +got):\n%s", diff)
	}
	if got := page.text(".said"); got != "Proved: The reading tallies." {
		t.Errorf("it says %q", got)
	}
}

// A step whose work is on another page redirects there; what was read is no
// business of the other steps.
func TestBenchRedirects(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	page := get(t, handler, "/bench?"+job+"&step=18")
	if got := page.Header().Get("Location"); page.Code != http.StatusSeeOther || got != "/bench/reading?"+job {
		t.Errorf("status %d, to %q", page.Code, got)
	}
	if page := get(t, handler, "/bench?"+job+"&step=1&p1=1"); page.Code != http.StatusBadRequest {
		t.Errorf("status %d", page.Code)
	}
	if page := get(t, handler, "/bench?"+job+"&step=21&p11=1"); page.Code != http.StatusBadRequest {
		t.Errorf("status %d", page.Code)
	}
}
