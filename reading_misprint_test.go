package standin

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestMisprints(t *testing.T) {
	t.Parallel()
	type edit struct{ code, newCode, newPattern string }
	tests := []struct {
		name  string
		edits []edit
		want  []string // "row: corrections: sentence"
	}{
		{"none", nil, nil},
		{"one point", []edit{{"BCA", "", "011100"}}, []string{
			"BCA 011100: pattern K4 1→0 BCA 011000 code place 2 C→D BDA 011100: K4 is probably unlit, not lit: " +
				"so it is in 15 of 15 other rows with C at place 2; about as likely: D at place 2."}},
		{"flashing for lit", []edit{{"BCA", "", "01f000"}}, []string{
			"BCA 01f000: pattern K3 f→1 BCA 011000: K3 is probably lit, not flashing: so it is in 15 of 15 other rows with C at place 2."}},
		{"one symbol", []edit{{"BCA", "BBA", ""}}, []string{
			"BBA 011000: code place 2 B→C BCA 011000: Place 2 of the code is probably C, not B: " +
				"with the code B C A the pattern is as in the other rows; as it stands, K3 and K4 are not."}},
		{"the row as a whole", []edit{{"BCA", "", "100111"}}, []string{
			"BCA 100111: nothing: The row is probably misprinted: K1, K2, K3, K4, K5 and K6 are not as in the other rows, " +
				"and no single correction puts that right."}},
		{"either says nothing", []edit{{"BCA", "", "01----"}}, nil},
		{"two rows", []edit{{"AAA", "", "f00000"}, {"DDD", "", "1111f1"}}, []string{
			"AAA f00000: pattern K1 f→0 AAA 000000: K1 is probably unlit, not flashing: so it is in 15 of 15 other rows with A at place 1.",
			"DDD 1111f1: pattern K5 f→1 DDD 111111: K5 is probably lit, not flashing: so it is in 15 of 15 other rows with D at place 3."}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			table := binaryFamily(func(c *Configuration) {
				for _, e := range tt.edits {
					if strings.Join(c.Code, "") == e.code {
						if e.newCode != "" {
							c.Code = strings.Split(e.newCode, "")
						} else {
							c.Pattern = Pattern(e.newPattern)
						}
					}
				}
			})
			var got []string
			for _, m := range table.Misprints() {
				got = append(got, misprintText(m))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("misprints (-want +got):\n%s", diff)
			}
		})
	}
}

func misprintText(m Misprint) string {
	text := fmt.Sprintf("%s %s:", strings.Join(m.Configuration.Code, ""), m.Configuration.Pattern)
	for _, c := range m.Corrections {
		what := c.Point
		if c.Place > 0 {
			what = fmt.Sprintf("place %d", c.Place)
		}
		text += fmt.Sprintf(" %s %s %s→%s %s %s", c.Column, what, c.Recorded, c.Correct, strings.Join(c.Code, ""), c.Pattern)
	}
	if len(m.Corrections) == 0 {
		text += " nothing"
	}
	return text + ": " + m.Text
}

// Of two rows that contradict each other with nothing else to go by, neither is
// reported as probable.
func TestMisprintOfOneOfTwo(t *testing.T) {
	t.Parallel()
	table := binaryFamily(func(c *Configuration) {
		if c.Code[0] != "A" && strings.Join(c.Code[1:], "") != "AA" {
			c.Code[0] = "A"
			c.Pattern = "00" + c.Pattern[2:]
		}
		if c.Code[0] == "B" { // BAA, and one more that contradicts it at K1
			c.Pattern = "01" + c.Pattern[2:]
		}
		if c.Code[0] == "C" {
			c.Code[0], c.Pattern = "B", "f1"+c.Pattern[2:]
		}
	})
	for _, m := range table.Misprints() {
		if m.Belief >= probableMisprint {
			t.Errorf("%s (%.2f): reported as probable, of one of two", m.Text, m.Belief)
		}
	}
}

// A misprint that shows at several points is explained by one cause.
func TestMisprintsAreExplainedOnce(t *testing.T) {
	t.Parallel()
	table := binaryFamily(func(c *Configuration) {
		if strings.Join(c.Code, "") == "ABC" {
			c.Code = []string{"D", "B", "C"}
		}
	})
	found := table.Misprints()
	if len(found) != 1 || len(found[0].Corrections) == 0 || found[0].Corrections[0].Place != 1 {
		t.Errorf("misprints %v, want the symbol at place 1 of one row", found)
	}
}

// However many points contradict a row, belief stays between 0 and 1.
func TestMisprintOfVeryManyPoints(t *testing.T) {
	t.Parallel()
	f := &Family{Name: "Heron", Selector: []string{"A", "B", "C"}, CodeLength: 1}
	for i := range 80 {
		f.Readback = append(f.Readback, fmt.Sprintf("H%d", i+1))
	}
	var rows []Configuration
	for i := range 20 {
		symbol, pattern := "A", strings.Repeat("10", 40)
		if i%2 == 0 {
			symbol, pattern = "B", strings.Repeat("01", 40)
		}
		rows = append(rows, Configuration{Code: []string{symbol}, Pattern: Pattern(pattern)})
	}
	rows[3].Pattern = Pattern(strings.Repeat("f", 80))
	rows[4].Code = []string{"A"}
	found := NewTable(f, rows).Misprints()
	if len(found) != 2 || len(found[0].Corrections) > 0 || len(found[1].Corrections) != 1 {
		t.Fatalf("misprints %v, want row 3 as a whole and the code of row 4", found)
	}
	for _, m := range found {
		if !(m.Belief > 0.99 && m.Belief <= 1) {
			t.Errorf("row %d: belief %v, want nearly 1", m.Index, m.Belief)
		}
	}
}

func TestQualityOfMisprints(t *testing.T) {
	t.Parallel()
	tests := []struct {
		rows, planted, families        int
		precision, recall, corrections float64 // a little below what is measured
	}{
		{20, 1, 150, 0.78, 0.76, 0.85},
		{60, 3, 40, 0.95, 0.88, 0.90},
		{150, 6, 15, 0.98, 0.90, 0.92},
	}
	for _, tt := range tests {
		got := proofreadMany(seedsFrom(1, tt.families), tt.rows, tt.planted, (*Table).Misprints)
		if got.precision() < tt.precision || got.recall() < tt.recall || got.corrections() < tt.corrections {
			t.Errorf("%d rows, %d misprints: precision %.3f, recall %.3f, corrections %.3f; want %.2f, %.2f, %.2f", tt.rows, tt.planted,
				got.precision(), got.recall(), got.corrections(), tt.precision, tt.recall, tt.corrections)
		}
	}
}

// A digit is shown, not lit; a switch has a number of its own, a resistor that is
// the only one has none.
func TestMisprintOfDigitsAndSwitches(t *testing.T) {
	t.Parallel()
	digits, err := ParseAlphabet("digit", 6)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		code, newCode string
		newPattern    Pattern
		want          string
	}{
		{"BCA", "", "019000", "K3 probably shows 1, not 9: so it is in 15 of 15 other rows with C at switch 2."},
		{"BCA", "BBA", "", "Switch 2 is probably C, not B: with the code B C A the pattern is as in the other rows; as it stands, K3 and K4 are not."},
	} {
		lamps := binaryFamily(func(c *Configuration) {
			if strings.Join(c.Code, "") != test.code {
				return
			}
			if test.newCode != "" {
				c.Code = strings.Split(test.newCode, "")
			} else {
				c.Pattern = test.newPattern
			}
		})
		f := *lamps.Family
		f.Method, f.Alphabet = MethodSwitches, digits
		misprints := NewTable(&f, lamps.configurations).Misprints()
		if len(misprints) != 1 || misprints[0].Text != test.want {
			t.Errorf("%s: %+v\nwant %s", test.code, misprints, test.want)
		}
	}
	if got := MethodResistor.Place(1, 1) + ", " + MethodResistor.Place(1, 2); got != "resistor, resistor 1" {
		t.Error(got)
	}
}
