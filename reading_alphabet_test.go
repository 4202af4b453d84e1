package standin

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// display is a family set by switches that reads back two digits, a letter, and a
// lamp of two colours; the first digit shows the first switch, the lamp the third.
func display() *Family {
	return &Family{Name: "D", Method: MethodSwitches, Selector: []string{"off", "on"}, CodeLength: 3, Readback: []string{"H1", "H2", "H3", "L"},
		Alphabet: []string{digitAlphabet, digitAlphabet, signAlphabet, "0rg"}}
}

func TestAlphabets(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		text   string
		points int
		want   []string
		fault  string
	}{
		{"", 2, nil, ""},
		{"lamp", 2, nil, ""},
		{"digit", 2, []string{digitAlphabet, digitAlphabet}, ""},
		{"lamp digit sign red-green", 4, []string{"10f", digitAlphabet, signAlphabet, "0rg"}, ""},
		{"digit lamp", 3, nil, "2 alphabets"},
		{"pink", 1, nil, `"pink" is no alphabet`},
		{"red-red", 1, nil, "is no alphabet"},
		{"red-", 1, nil, "is no alphabet"},
	} {
		got, err := ParseAlphabet(tt.text, tt.points)
		checkError(t, tt.text, err, tt.fault)
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%q -want, +got\n%s", tt.text, diff)
		}
		if again, _ := ParseAlphabet(AlphabetText(got), tt.points); err == nil && !cmp.Equal(again, got) {
			t.Errorf("%q is written %q, which reads as %q", tt.text, AlphabetText(got), again)
		}
	}
}

func TestReadingsOfADisplay(t *testing.T) {
	t.Parallel()
	f := display()
	for _, tt := range []struct{ text, want, fault string }{
		{"37Ag", "37Ag", ""},
		{"3 7 a green", "37Ag", ""},
		{"3?-R", "3??r", ""},
		{"3 7 A off", "37A0", ""},
		{"H2=7 L=red", "?7?r", ""},
		{"37A", "", "is nothing a point can show"},
		{"A7Ag", "", "is nothing a point can show"},
		{"37A1", "", "is nothing a point can show"},
		{"H1=lit", "", `"lit" is nothing a point can show`},
	} {
		got, err := f.ParseReading(tt.text)
		checkError(t, tt.text, err, tt.fault)
		if string(got) != tt.want {
			t.Errorf("%q reads as %q; want %q", tt.text, got, tt.want)
		}
	}
	if err := f.CheckPattern("3-Ag"); err != nil {
		t.Error(err)
	}
	for _, p := range []Pattern{"f000", "37Af", "37a0", "37A"} {
		if f.CheckPattern(p) == nil {
			t.Errorf("the pattern %s is taken", p)
		}
	}
	if got := f.Shown(0, '3') + ", " + f.Shown(3, 'g') + ", " + f.Shown(3, '0') + ", " + (&Family{}).Shown(0, 'f'); got != "shows 3, green, unlit, flashing" {
		t.Error(got)
	}
}

// Characters that a lamp cannot show are distinguished by their further bits, in
// one word or several, beside lamps or not; the index agrees with a comparison
// character by character.
func TestPackedCharacters(t *testing.T) {
	t.Parallel()
	for i, a := range shownNumbers {
		for j, b := range shownNumbers {
			p, q := strings.Repeat("1", 70)+string(a), strings.Repeat("1", 70)+string(b)
			mismatches, counting := pack(p).compare(pack(q))
			if counting != 71 || (mismatches != 0) != (i != j) {
				t.Errorf("%c and %c: %d mismatches of %d", a, b, mismatches, counting)
			}
		}
	}
	x, patterns := NewPatternIndex(), []Pattern{"1010", "37Ag", "37A0", "f0-1", "37-r", "0000"}
	for i, p := range patterns {
		x.Add(p, int64(i))
	}
	for _, reading := range []Reading{"1010", "37Ag", "3??r", "f?1?"} {
		got, err := x.Nearest(reading, len(patterns))
		if err != nil || len(got.Patterns) != len(patterns) {
			t.Fatalf("%s: %+v, %v", reading, got, err)
		}
		for _, p := range got.Patterns {
			if want := len(reading.Mismatches(p.Pattern)); p.Mismatches != want {
				t.Errorf("%s and %s: %d mismatches; want %d", reading, p.Pattern, p.Mismatches, want)
			}
		}
	}
}

func displayTable() *Table {
	onOff := []string{"off", "on"}
	var all []Configuration
	for round := range 4 {
		for n := range 8 {
			code := []string{onOff[n>>2&1], onOff[n>>1&1], onOff[n&1]}
			p := Pattern([]byte{"25"[n>>2&1], '7', "AZ"[n>>1&1], "rg"[n&1]})
			all = append(all, Configuration{Family: "D", Model: ModelKey{Brand: "B", Model: string(rune('A'+round)) + whole(n)}, Code: code, Pattern: p})
		}
	}
	return NewTable(display(), all)
}

func TestCodeMapAndDiagnosisOfADisplay(t *testing.T) {
	t.Parallel()
	table := displayTable()
	if len(table.Skipped) > 0 {
		t.Fatal(table.Skipped)
	}
	m := table.CodeMap()
	shows, err := m.Predict([]string{"on", "off", "on"})
	if err != nil || shows != "57Ag" {
		t.Errorf("predicted %s, %v; want 57Ag", shows, err)
	}
	if got := m.Points[0].Text() + "; " + m.Points[1].Text(); got != "switch 1; always shows 7 in 32 rows" {
		t.Error(got)
	}
	code := []string{"on", "off", "on"}
	v := table.Verify(code, "57Ag", "57Zg")
	if want := "The reading does not tally: H3 shows Z and must show A."; v.Tally != DoesNotTally || v.Text != want {
		t.Errorf("%s: %s; want %s", v.Tally, v.Text, want)
	}
	stories, err := table.Diagnose(m, code, "57Ag", "57Zg", 1)
	if err != nil || len(stories) == 0 || !strings.HasPrefix(stories[0].Text, "switch 2: on was probably set, off was meant") {
		t.Errorf("stories %+v, %v", stories, err)
	}
	all, _ := table.Diagnose(m, code, "57Ag", "57Zg", 0)
	for _, s := range all {
		if s.Kind == EnteredTwice || s.Kind == LeftOut {
			t.Errorf("switches are not set one after the other, yet: %s", s.Text)
		}
	}
	found, err := table.Identify("2?Zg")
	if err != nil || !found[0].Exact || strings.Join(found[0].Code, " ") != "off on on" || found[1].Exact {
		t.Errorf("identified %+v, %v", found[:2], err)
	}
	if trust := table.Trust(code, "57Ag"); trust.Distance != Known(1) {
		t.Errorf("trust %+v; want a distance of 1", trust)
	}
}

// A digit misprinted once is found, and described as a digit.
func TestMisprintOfADisplay(t *testing.T) {
	t.Parallel()
	table := displayTable()
	rows := table.configurations
	rows[11].Pattern = "2" + rows[11].Pattern[1:2] + "M" + rows[11].Pattern[3:]
	found := NewTable(display(), rows).Misprints()
	if len(found) != 1 || found[0].Index != 11 || len(found[0].Corrections) == 0 || found[0].Corrections[0].Correct != "Z" ||
		!strings.HasPrefix(found[0].Text, "H3 is probably shows Z") && !strings.HasPrefix(found[0].Text, "H3 probably shows Z") {
		t.Errorf("%+v", found)
	}
}

// With a dead lamp the codes that are not excluded are named, and what
// distinguishes them.
func TestUnreadablePoint(t *testing.T) {
	t.Parallel()
	table := displayTable()
	code := []string{"on", "off", "on"}
	v := table.Verify(code, "57Ag", "57A?")
	if v.Tally != Incomplete || len(v.Alike) != 1 || len(v.Trials) != 1 || v.Trials[0].Text != "L is green for on off on, not for on off off" ||
		!strings.Contains(v.Remedy, "Not excluded: on off off. What separates them: L is green") || !strings.Contains(v.Remedy, "once more") {
		t.Errorf("%+v", v)
	}
	if v := table.Verify(code, "57Ag", "5?Ag"); v.Tally != Incomplete || len(v.Trials) != 0 || !strings.HasPrefix(v.Remedy, "No recorded code but this is as read") {
		t.Errorf("%+v", v)
	}
	if v := table.Verify(code, "57Ag", "57Ag"); v.Tally != Tallies || v.Remedy != "" {
		t.Errorf("%+v", v)
	}
}

func TestSymbolsInEitherCase(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ selector, typed, want, fault string }{
		{"A B", "a B", "A B", ""},
		{"A B", "ab", "A B", ""},
		{"a A B", "a b", "a B", ""},
		{"a A B", "A A", "A A", ""},
		{"aa AA", "Aa aa", "", `"Aa" at place 1`},
	} {
		f := &Family{Name: "F", Selector: strings.Fields(tt.selector), CodeLength: 2}
		code, err := f.ParseCode(tt.typed)
		checkError(t, tt.typed, err, tt.fault)
		if got := strings.Join(code, " "); err == nil && got != tt.want {
			t.Errorf("%s of %s: %s; want %s", tt.typed, tt.selector, got, tt.want)
		}
	}
}

func TestPanel(t *testing.T) {
	t.Parallel()
	panel, err := ParsePanel("K1 K2 / K3", []string{"K3", "K1", "K2"})
	if err != nil || PanelText(panel) != "K1 K2 / K3" || len(panel) != 2 {
		t.Errorf("%q, %v", panel, err)
	}
	for _, text := range []string{"K1 K2", "K1 K2 / K3 K3", "K1 / / K9"} {
		if _, err := ParsePanel(text, []string{"K1", "K2", "K3"}); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

func TestShownForms(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"":                    "1 lit, 0 unlit, f flashing",
		"digit":               "digits as shown",
		"sign lamp":           "digits and letters as shown, 1 lit, 0 unlit, f flashing",
		"red-green red-amber": "0 unlit, r red, g green, a amber",
	} {
		f := Family{Readback: []string{"P1", "P2"}}
		var err error
		if f.Alphabet, err = ParseAlphabet(text, 2); err != nil {
			t.Fatal(err)
		}
		if got := f.ShownForms(); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
