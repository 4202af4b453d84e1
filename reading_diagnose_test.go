package standin

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// binaryFamily is a family of three places over A to F with two points per place,
// which show A 00, B 01, C 10, D 11 in binary; 64 rows, but no more than that:
// what E and F show is not recorded.
func binaryFamily(change func(*Configuration)) *Table {
	f := &Family{Name: "Plover", Selector: strings.Split("ABCDEF", ""), CodeLength: 3,
		Readback: []string{"K1", "K2", "K3", "K4", "K5", "K6"}}
	var rows []Configuration
	for n := range 64 {
		symbols := []int{n / 16, n / 4 % 4, n % 4}
		c := Configuration{Family: f.Name, Model: ModelKey{Brand: "Ouse", Model: fmt.Sprintf("W%d", n)}}
		for _, s := range symbols {
			c.Code = append(c.Code, f.Selector[s])
			c.Pattern += Pattern(fmt.Sprintf("%02b", s))
		}
		change(&c)
		rows = append(rows, c)
	}
	return NewTable(f, rows)
}

func unchanged(*Configuration) {}

// withoutPattern drops the pattern of a code, so that the map must predict it.
func withoutPattern(code string) func(*Configuration) {
	return func(c *Configuration) {
		if strings.Join(c.Code, "") == code {
			c.Pattern = ""
		}
	}
}

func TestDiagnose(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name    string
		change  func(*Configuration)
		meant   string
		pattern Pattern
		reading Reading
		want    []string // the first stories: "rank kind entered: sentence"
	}{
		{"a neighbour on the dial", unchanged, "ABD", "000111", "000110", []string{
			"1 wrong-symbol ABC: place 3: C was probably entered, D was meant; that is the code for Ouse W6.",
			"2 misread ABD: the code is right and K6 probably misread.",
		}},
		{"another symbol", unchanged, "ABA", "000100", "000111", []string{
			"1 wrong-symbol ABD: place 3: D was probably entered, A was meant; that is the code for Ouse W7.",
			"2 wrong-symbol ABB: place 3: B was probably entered, A was meant, and K5 probably misread; that is the code for Ouse W5.",
		}},
		{"neighbours exchanged", unchanged, "ADA", "001100", "110000", []string{
			"1 exchanged DAA: places 1 and 2: D A was probably entered, A D was meant; that is the code for Ouse W48.",
		}},
		{"two points misread", unchanged, "AAA", "000000", "010001", []string{
			"1 wrong-symbol BAA: place 1: B was probably entered, A was meant, and K6 probably misread; that is the code for Ouse W16.",
			"1 wrong-symbol AAB: place 3: B was probably entered, A was meant, and K2 probably misread; that is the code for Ouse W1.",
			"3 other-model BAB: B A B was probably entered, the code for Ouse W17; A A A was meant.",
			"4 misread AAA: the code is right and K2 and K6 probably misread.",
		}},
		{"a symbol entered twice", unchanged, "BDA", "011100", "010111", []string{
			"1 entered-twice BBD: place 1: B was probably entered twice, which makes B B D; B D A was meant; that is the code for Ouse W23.",
		}},
		{"a symbol left out", unchanged, "BDA", "011100", "110010", []string{
			"1 left-out DA_ predicted: place 1: B was probably left out, which makes D A and a further symbol; B D A was meant.",
		}},
		{"what the code map predicts", withoutPattern("ABC"), "ABD", "000111", "000110", []string{
			"1 wrong-symbol ABC predicted: place 3: C was probably entered, D was meant; that is the code for Ouse W6.",
		}},
		{"the chart is misprinted", unchanged, "ABD", "111111", "000111", []string{
			"1 misprinted ABD predicted: code and reading are right and the recorded pattern is probably misprinted at K1, K2 and K3.",
		}},
		{"points unread are no contradiction", unchanged, "ABD", "000111", "0??11?", nil},
		{"it tallies", unchanged, "ABD", "000111", "000111", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			table := binaryFamily(tt.change)
			stories, err := table.Diagnose(table.CodeMap(), strings.Split(tt.meant, ""), tt.pattern, tt.reading, 0)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, s := range stories[:min(len(stories), len(tt.want))] {
				got = append(got, storyText(s))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("stories (-want +got):\n%s", diff)
			}
			if tt.want == nil && stories != nil {
				t.Errorf("%d stories, want none", len(stories))
			}
		})
	}
}

func storyText(s Story) string {
	var entered string
	for _, symbol := range s.Entered {
		entered += map[bool]string{true: "_", false: symbol}[symbol == ""]
	}
	if s.Predicted {
		entered += " predicted"
	}
	return fmt.Sprintf("%d %s %s: %s", s.Rank, s.Kind, entered, s.Text)
}

// Two symbols that show the same and are equally far from the one meant share a
// rank.
func TestStoriesThatCannotBeToldApart(t *testing.T) {
	t.Parallel()
	table := binaryFamily(func(c *Configuration) { // C and D show the same as A at place 3
		if s := c.Code[2]; s != "B" {
			c.Pattern = c.Pattern[:4] + "00"
		}
	})
	stories, err := table.Diagnose(table.CodeMap(), []string{"A", "A", "B"}, "000001", "000000", 2)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, s := range stories {
		got = append(got, fmt.Sprintf("%d %s %s", s.Rank, s.Kind, strings.Join(s.Entered, "")))
	}
	want := []string{"1 wrong-symbol AAA", "1 wrong-symbol AAC"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("stories (-want +got):\n%s", diff)
	}
	stories, _ = table.Diagnose(table.CodeMap(), []string{"A", "A", "B"}, "000001", "000000", 1)
	if len(stories) != 2 {
		t.Errorf("%d stories at a limit of 1, want both of rank 1", len(stories))
	}
}

// A symbol that no row has is listed as possible, after what the table accounts
// for, and is marked unproven.
func TestStoryOfASymbolNobodyRecorded(t *testing.T) {
	t.Parallel()
	table := binaryFamily(unchanged)
	stories, err := table.Diagnose(table.CodeMap(), []string{"A", "B", "D"}, "000111", "00011f", 0)
	if err != nil {
		t.Fatal(err)
	}
	unproven := ""
	for _, s := range stories {
		if s.Unproven && strings.Join(s.Entered, "") == "ABE" {
			unproven = s.Text
		}
		if s.Unproven && len(s.Misread) > 0 {
			t.Errorf("%q assumes misread points as well", s.Text)
		}
	}
	want := "place 3: E was probably entered, D was meant; no recorded code has this symbol there, so what it would show is not known."
	if unproven != want {
		t.Errorf("story of E is %q, want %q", unproven, want)
	}
}

func TestDiagnoseOfACodeThatIsNotTheFamilys(t *testing.T) {
	t.Parallel()
	table := binaryFamily(unchanged)
	_, err := table.Diagnose(table.CodeMap(), []string{"A", "X", "D"}, "000111", "000000", 5)
	checkError(t, "AXD", err, `"X" at place 2 of the code is not on the selector`)
}

// The order of the costs is what the published counts support: a neighbour
// before an exchange before any other symbol before a point misread, and two
// slips cost more than one.
func TestOrderOfTheCosts(t *testing.T) {
	t.Parallel()
	order := []float64{costNeighbour, costExchanged, costOtherSymbol, costMisread, costTwice}
	for i := 1; i < len(order); i++ {
		if order[i] <= order[i-1] {
			t.Errorf("cost %d is %v, not above %v", i, order[i], order[i-1])
		}
	}
	table := binaryFamily(unchanged)
	if got := table.costOfSymbol(0, 5); got != costAroundEnd {
		t.Errorf("A for F costs %v, want %v", got, costAroundEnd)
	}
	if costAroundEnd <= costNeighbour || costAroundEnd >= costOtherSymbol {
		t.Errorf("around the end costs %v, want between a neighbour and any other symbol", costAroundEnd)
	}
}

func TestQualityOfDiagnosis(t *testing.T) {
	t.Parallel()
	tests := []struct {
		misread     int
		near        int
		first, nigh float64 // a little below what is measured
		gap         float64 // to the exact posteriors, at most
	}{
		{0, 3, 0.92, 0.99, 0.02},
		{1, 5, 0.79, 0.98, 0.02},
	}
	for _, tt := range tests {
		d := diagnoseMany(seedsFrom(1, 60), 20, 60, tt.misread, tt.near)
		if d.ours.first < tt.first || d.ours.near < tt.nigh {
			t.Errorf("%d points misread: first %.3f, among %d %.3f, want %.2f and %.2f",
				tt.misread, d.ours.first, tt.near, d.ours.near, tt.first, tt.nigh)
		}
		if d.ours.first < d.bound.first-tt.gap || d.keyed.first < d.exact.first-tt.gap {
			t.Errorf("%d points misread: first %.3f, exact posterior %.3f; given that the code was mis-keyed %.3f, exact posterior %.3f; want a gap of %.2f at most",
				tt.misread, d.ours.first, d.bound.first, d.keyed.first, d.exact.first, tt.gap)
		}
	}
}
