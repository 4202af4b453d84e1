package sheet_test

import (
	"fmt"
	"strings"
	"testing"

	"standin"
	"standin/api/sheet"
)

// longest has the longest names that can be typed (200 characters), 20 read-back
// points, a code of 12 symbols, 12 loads and 12 plugs.
func longest() *standin.Dossier {
	d := dossier()
	long := func(word string) string { return strings.Repeat(word+" ", 200/(len(word)+1)) }
	key := standin.ModelKey{Brand: long("Wexcombe"), Model: strings.Repeat("W", 200), Variant: long("variant")}
	d.Asked, d.Model.ModelKey = key, key
	family := *d.Families["Curlew"]
	family.CodeLength, family.Readback = 12, nil
	for i := range 20 {
		family.Readback = append(family.Readback, fmt.Sprintf("Indicator number %d on the left side of the panel", i+1))
	}
	code := strings.Fields("12 11 10 9 8 7 6 5 4 3 2 1")
	d.Families = map[string]*standin.Family{"Curlew": &family}
	d.Configurations = []standin.Configuration{{Family: "Curlew", Model: key, Code: code, Pattern: standin.Pattern(strings.Repeat("10f-", 5)), Source: long("bulletin")}}
	procedure := standin.Procedure{Name: "curlew dial"}
	for _, phase := range []standin.Phase{standin.PhaseEnter, standin.PhaseSymbol, standin.PhaseFinish, standin.PhaseReadback} {
		for i := range map[standin.Phase]int{standin.PhaseEnter: 5, standin.PhaseSymbol: 12, standin.PhaseFinish: 4, standin.PhaseReadback: 3}[phase] {
			procedure.Steps = append(procedure.Steps, standin.Step{Phase: phase, Step: i + 1,
				Do: fmt.Sprintf("Turn the dial to the place named here, %d, and hold Start and Delay together", i), HoldSeconds: standin.Known(5.0),
				Expect: "All indicators light once, then End flashes twice a second"})
		}
	}
	d.Procedures = map[string]*standin.Procedure{"curlew dial": &procedure}
	harness := &standin.Layout{Name: "many"}
	for i := range 12 {
		harness.Connectors = append(harness.Connectors, connector(fmt.Sprintf("CONNECTOR-%d", i+1), 2.5, fmt.Sprintf("K%d", i/2), strings.Fields(fmt.Sprintf("heater-%d heater-return pump pump-return inlet inlet-return level-sensor", i))...))
	}
	d.Builds[0].Layout, d.Boards[0].Revisions[0].Layout = harness, harness
	d.Loads = nil
	for i := range 12 {
		d.Loads = append(d.Loads, standin.Load{Circuit: fmt.Sprintf("heater-of-the-tank-%d", i+1), Watts: standin.Known(2000.0), Element: standin.ElementHeating})
	}
	d.Boards[0].Title = long("title")
	d.Boards[0].PartNumber = strings.Repeat("7", 30)
	return d
}

// The longest imaginable names and 20 read-back points leave nothing out, and
// nothing leaves the page or stands on anything else.
func TestLongestNames(t *testing.T) {
	t.Parallel()
	s := sheetOf(t, longest(), standin.Machine{Serial: strings.Repeat("S", 200), OldPart: "70-1001"})
	pdf := printed(t, s)
	pages := pagesOf(t, pdf)
	if faults := overflows(pages); len(faults) > 0 {
		t.Error(faults)
	}
	if len(pages) > 4 {
		t.Errorf("%d pages, want four at most", len(pages))
	}
	if missing := lacks(textOf(t, pdf), everything(s.Job)...); len(missing) > 0 {
		t.Errorf("not printed: %q", missing)
	}
	label := printed(t, &sheet.Label{Job: s.Job})
	if pages := pagesOf(t, label); len(pages) != 1 || len(overflows(pages)) > 0 {
		t.Errorf("the label has %d pages, %v", len(pages), overflows(pages))
	}
}

// More than any page holds goes on, and nothing is cut.
func TestMoreThanTwoPages(t *testing.T) {
	t.Parallel()
	d := longest()
	do := strings.Repeat("Turn the dial and wait. ", 1000)
	d.Procedures["curlew dial"].Steps[0].Do = do
	s := sheetOf(t, d, standin.Machine{})
	pdf := printed(t, s)
	pages := pagesOf(t, pdf)
	if faults := overflows(pages); len(faults) > 0 {
		t.Error(faults)
	}
	text := textOf(t, pdf)
	if n := strings.Count(text, "dial and wait."); n < 990 { // some are broken over lines of other cells
		t.Errorf("%d of 1000 sentences are printed", n)
	}
	if missing := lacks(text, everything(s.Job)[:6]...); len(missing) > 0 || len(pages) < 3 {
		t.Errorf("%d pages, not printed: %q", len(pages), missing)
	}
}

// A page with faults is found out: else the tests above could not fail.
func TestOverflowsCanFail(t *testing.T) {
	t.Parallel()
	inside := word{10, 20, 10, 20, "inside"}
	for name, words := range map[string][]word{
		"right": {{90, 101, 10, 20, "x"}}, "below": {{10, 20, 95, 101, "x"}}, "on another": {inside, {15, 25, 12, 22, "x"}},
	} {
		if len(overflows([]page{{100, 100, words}})) != 1 {
			t.Errorf("%s: not found", name)
		}
	}
	if faults := overflows([]page{{100, 100, []word{inside, {21, 30, 10, 20, "beside"}, {10, 20, 20, 30, "below"}}}}); len(faults) > 0 {
		t.Error(faults)
	}
}

// Nothing that can be imported stops a sheet: the library fails at invalid
// UTF-8 and at characters beyond the basic plane.
func TestHostileText(t *testing.T) {
	t.Parallel()
	for _, hostile := range []string{"\xff\xfe", "𝔚exc🔥mbe", "a\x00b\nc\td", "\u202eright\u202c", "\ufffe", "", "\u00a0", "<b>&amp;</b>", "(\\)", "日本語", "e\u0301"} {
		d := dossier()
		key := standin.ModelKey{Brand: "B" + hostile, Model: hostile, Variant: hostile}
		d.Asked, d.Model.ModelKey = key, key
		d.Boards[0].Title, d.Boards[0].Revisions[0].Label = hostile, hostile
		d.Families["Curlew"].Readback[3] = hostile
		d.Procedures["curlew dial"].Steps[0].Do = hostile
		d.Loads[0].Circuit = hostile
		s := sheetOf(t, d, standin.Machine{Serial: hostile})
		s.Bench = hostile
		text := textOf(t, printed(t, s))
		if missing := lacks(text, "Isolate the machine", "page 1 of"); len(missing) > 0 {
			t.Errorf("%q: not printed: %q", hostile, missing)
		}
		printed(t, &sheet.Label{Job: s.Job})
	}
}
