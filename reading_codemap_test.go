package standin

import (
	"fmt"
	"math/bits"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// hamming is the Hamming (7,4) code (Hamming, Error detecting and error
// correcting codes, Bell System Technical Journal 29(2), 1950), its four data
// bits last.
const hamming = `0000000 1101000 0110100 1011100 0011010 1110010 0101110 1000110
0001101 1100101 0111001 1010001 0010111 1111111 0100011 1001011`

// blockCode is a block code as a family: the data bits are the places of the
// code, the words the patterns.
func blockCode(name string, words []string, dataFrom, data int) *Table {
	f := &Family{Name: name, Selector: []string{"0", "1"}, CodeLength: data}
	for i := range words[0] {
		f.Readback = append(f.Readback, fmt.Sprintf("B%d", i+1))
	}
	var rows []Configuration
	for _, word := range words {
		rows = append(rows, Configuration{Family: name, Model: ModelKey{Brand: name, Model: word},
			Code: strings.Split(word[dataFrom:dataFrom+data], ""), Pattern: Pattern(word)})
	}
	return NewTable(f, rows)
}

func hammingCode() *Table { return blockCode("Hamming", strings.Fields(hamming), 3, 4) }

// golayCode is the extended Golay (24,12) code: the cyclic one with generator
// 0xC75, data bits first, and a parity bit (MacWilliams and Sloane, The Theory
// of Error-Correcting Codes, 1977, from memory).
func golayCode() *Table {
	var words []string
	for data := range uint32(1 << 12) {
		rest := data << 11
		for bit := 22; bit >= 11; bit-- {
			if rest>>bit&1 == 1 {
				rest ^= 0xC75 << (bit - 11)
			}
		}
		word := data<<11 | rest
		words = append(words, fmt.Sprintf("%024b", word<<1|uint32(bits.OnesCount32(word)&1)))
	}
	return blockCode("Golay", words, 0, 12)
}

func TestBlockCodes(t *testing.T) {
	t.Parallel()
	tests := []struct {
		table    *Table
		distance int
		weights  map[int]int // weight → words, as published
		dataFrom int
	}{
		{hammingCode(), 3, map[int]int{0: 1, 3: 7, 4: 7, 7: 1}, 3},
		{golayCode(), 8, map[int]int{0: 1, 8: 759, 12: 2576, 16: 759, 24: 1}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.table.Family.Name, func(t *testing.T) {
			t.Parallel()
			weights := map[int]int{}
			for _, s := range tt.table.Settings {
				weights[strings.Count(string(s.Pattern), "1")]++
			}
			if diff := cmp.Diff(tt.weights, weights); diff != "" {
				t.Errorf("words of each weight (-want +got):\n%s", diff)
			}
			for _, s := range tt.table.Settings[:16] {
				trust := tt.table.Trust(s.Code, s.Pattern)
				if trust.Distance != Known(tt.distance) {
					t.Errorf("distance from %s is %v, want %d", s.Pattern, trust.Distance, tt.distance)
				}
				if trust.NearestCount != tt.weights[tt.distance] {
					t.Errorf("%d words are nearest to %s, want %d", trust.NearestCount, s.Pattern, tt.weights[tt.distance])
				}
			}
			for i, p := range tt.table.CodeMap().Points {
				var want []int // a parity bit depends on more than two
				if place := i - tt.dataFrom + 1; place >= 1 && place <= tt.table.places {
					want = []int{place}
				}
				if diff := cmp.Diff(want, p.Places); diff != "" {
					t.Errorf("places of %s (-want +got):\n%s", p.Point, diff)
				}
			}
		})
	}
}

// shape is a family of three places over A to F and one point whose rows are
// given as "code pattern".
func shape(rows string) *Table {
	f := &Family{Name: "shape", Selector: strings.Split("ABCDEF", ""), CodeLength: 3, Readback: []string{"P1"}}
	var configurations []Configuration
	for i, row := range strings.Split(rows, ",") {
		code, pattern, _ := strings.Cut(strings.TrimSpace(row), " ")
		configurations = append(configurations, Configuration{Family: f.Name, Model: ModelKey{Brand: "S", Model: fmt.Sprint(i + 1)},
			Code: strings.Split(code, ""), Pattern: Pattern(pattern)})
	}
	return NewTable(f, configurations)
}

func TestCodeMapSearch(t *testing.T) {
	t.Parallel()
	const eight = "AAA 1, AAB 1, ABC 1, ABD 1, BAA 0, BAB 0, BBC 0, BBD 0"
	tests := []struct {
		name, rows string
		places     []int
		leaveOut   int
		reason     string
	}{
		{"exact with one place", eight, []int{1}, 0, ""},
		{"seven rows are too few", strings.TrimSuffix(eight, ", BBD 0"), nil, 0, "only 7 rows tell anything, at least 8 must"},
		{"either says nothing", strings.ReplaceAll(eight, "BBD 0", "BBD -"), nil, 0, "only 7 rows tell"},
		{"approximate with one place before exact with two", strings.ReplaceAll(eight, "BBD 0", "BBD 1"), []int{1}, 1, ""},
		{"exact with two places", "AAA 1, AAB 1, ABA 0, ABB 0, BAA 0, BAB 0, BBA 1, BBB 1", []int{1, 2}, 0, ""},
		{"approximate with two places", "AAA 1, AAB 1, AAC 1, ABA 0, ABB 0, ABC 0, BAA 0, BAB 0, BAC 0, BBA 1, BBB 1, BBC 0", []int{1, 2}, 1, ""},
		{"of equal ones the place that comes first", "AAA 1, AAB 1, AAC 1, AAD 1, BBA 0, BBB 0, BBC 0, BBD 0", []int{1}, 0, ""},
		{"of two the lower g3", "ABA 1, AAB 1, AAC 1, BAD 1, BBA 0, BBB 0, BBC 0, ABD 1, BBA 0, AAA 1", []int{1}, 1, ""},
		{"two of three rows share: enough", "AAA 1, ABB 1, ABC 1, BBD 0, BAA 0, BAB 0, CCC 1, DDD 1, CCD 1", []int{1}, 0, ""},
		{"two rows to leave out of eight are too many", "AAA 1, AAB 1, ABC 0, ABD 0, BAA 0, BAB 0, BBC 1, BBD 1", []int{1, 2}, 0, ""},
		{"nothing accounts for it", "AAA 1, AAB 0, ABA 0, ABB 1, BAA 0, BAB 1, BBA 1, BBB 0", nil, 0, "no place and no two places"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			p := shape(tt.rows).CodeMap().Points[0]
			if diff := cmp.Diff(tt.places, p.Places); diff != "" || p.LeaveOut != tt.leaveOut {
				t.Errorf("leave out %d, want %d; places (-want +got):\n%s", p.LeaveOut, tt.leaveOut, diff)
			}
			if !strings.Contains(p.Reason, tt.reason) || (p.Reason == "") != (tt.reason == "") {
				t.Errorf("reason %q, want %q", p.Reason, tt.reason)
			}
		})
	}
}

// What makes a dependency known, on both sides of every bound: eight rows, two
// thirds of them shared, at most one in twenty left out, but one always.
func TestKnownDependency(t *testing.T) {
	t.Parallel()
	tests := []struct {
		rows, shared, leaveOut int
		want                   bool
	}{
		{8, 8, 0, true}, {7, 7, 0, false},
		{9, 6, 0, true}, {9, 5, 0, false}, {8, 6, 0, true}, {8, 5, 0, false},
		{8, 8, 1, true}, {8, 8, 2, false}, {39, 39, 1, true}, {39, 39, 2, false},
		{40, 40, 2, true}, {40, 40, 3, false}, {60, 60, 3, true}, {60, 60, 4, false},
	}
	for _, tt := range tests {
		d := dependency{Rows: tt.rows, Shared: tt.shared, LeaveOut: tt.leaveOut}
		if got := d.known(); got != tt.want {
			t.Errorf("%d rows, %d shared, %d left out: known %v, want %v", tt.rows, tt.shared, tt.leaveOut, got, tt.want)
		}
	}
}

func TestPredict(t *testing.T) {
	t.Parallel()
	m := shape("AAA 1, AAB 1, ABC 1, ABD 1, BAA f, BAB f, BBC f, BBD f").CodeMap()
	tests := []struct {
		code  string
		want  Prediction
		fault string
	}{
		{"AAC", "1", ""},
		{"BDD", "f", ""},
		{"CAA", "?", ""}, // no row has C at place 1
		{"XAA", "", `"X" at place 1 of the code is not on the selector (A B C D E F)`},
		{"AA", "", "has 2 symbols, a code of family shape has 3"},
	}
	for _, tt := range tests {
		got, err := m.Predict(strings.Split(tt.code, ""))
		checkError(t, tt.code, err, tt.fault)
		if got != tt.want {
			t.Errorf("%s shows %q, want %q", tt.code, got, tt.want)
		}
	}
	want := []Cell{{[]string{"A"}, ShowsLit, 4, 0}, {[]string{"B"}, ShowsFlashing, 4, 0}}
	if diff := cmp.Diff(want, m.Points[0].Cells()); diff != "" {
		t.Errorf("cells (-want +got):\n%s", diff)
	}
}

func TestPointMapText(t *testing.T) {
	t.Parallel()
	tests := []struct{ rows, want string }{
		{"AAA 1, AAB 1, ABC 1, ABD 1, BAA 0, BAB 0, BBC 0, BBD 0", "place 1"},
		{"AAA 1, AAB 1, ABC 1, ABD 1, BAA 0, BAB 0, BBC 0, BBD 1", "place 1, but 1 of 8 rows otherwise"},
		{"AAA 1, AAB 1, ABA 0, ABB 0, BAA 0, BAB 0, BBA 1, BBB 1", "places 1 and 2"},
		{"AAA 1, AAB 1, ABC 1, ABD 1, BAA 1, BAB 1, BBC 1, BBD -, BBA 1", "always lit in 8 rows"},
		{"AAA 1", "not known: only 1 row tells anything, at least 8 must"},
	}
	for _, tt := range tests {
		p := shape(tt.rows).CodeMap().Points[0]
		if got := p.Text(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.rows, got, tt.want)
		}
	}
}

func TestPredictOfATie(t *testing.T) {
	t.Parallel()
	// D stands at place 1 twice, once with each value: the map does not choose.
	rows := strings.Repeat("AAA 1, BAA 0, ", 10) + "DAA 1, DBB 0"
	m := shape(rows).CodeMap()
	if p := m.Points[0]; len(p.Places) != 1 || p.LeaveOut != 1 {
		t.Fatalf("places %v leaving out %d, want place 1 leaving out 1", p.Places, p.LeaveOut)
	}
	if got, _ := m.Predict([]string{"D", "A", "A"}); got != "?" {
		t.Errorf("D shows %q, want ?", got)
	}
}

func TestFamiliesWithLittleToLearnFrom(t *testing.T) {
	t.Parallel()
	f := &Family{Name: "Rail", Selector: []string{"A", "B"}, CodeLength: 1, Readback: []string{"P1", "P2"}}
	row := Configuration{Family: "Rail", Code: []string{"A"}, Pattern: "10"}
	silentRow := Configuration{Family: "Rail", Code: []string{"B"}, Pattern: "--"}
	tests := []struct {
		name string
		rows []Configuration
	}{
		{"none", nil},
		{"one", []Configuration{row}},
		{"nothing but either", []Configuration{silentRow, silentRow, silentRow, silentRow, silentRow, silentRow, silentRow, silentRow, silentRow}},
		{"no pattern recorded", []Configuration{{Family: "Rail", Code: []string{"A"}}}},
		{"no code", []Configuration{{Family: "Rail"}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			table := NewTable(f, tt.rows)
			m := table.CodeMap()
			for _, p := range m.Points {
				if p.Places != nil || p.Reason == "" {
					t.Errorf("%s: places %v, reason %q; want none, and why", p.Point, p.Places, p.Reason)
				}
			}
			if got, err := m.Predict([]string{"A"}); got != "??" || err != nil {
				t.Errorf("predicts %q, %v; want ??", got, err)
			}
			if found := table.Misprints(); len(found) > 0 {
				t.Errorf("misprints %v, want none", found)
			}
			if _, err := table.Diagnose(m, []string{"A"}, "10", "01", 5); err != nil {
				t.Errorf("diagnose: %v", err)
			}
		})
	}
	if skipped := NewTable(f, []Configuration{{Code: []string{"C"}, Pattern: "10"}, {Code: []string{"A"}, Pattern: "1"}}).Skipped; len(skipped) != 2 {
		t.Errorf("skipped %q, want two sentences", skipped)
	}
	codeless := NewTable(&Family{Name: "Crake", Readback: []string{"P1"}}, []Configuration{{Pattern: "1"}, {Pattern: "0"}})
	if p := codeless.CodeMap().Points[0]; p.Places != nil {
		t.Errorf("a family without a code: places %v, want none", p.Places)
	}
	if found := codeless.Misprints(); len(found) > 0 {
		t.Errorf("a family without a code: misprints %v, want none", found)
	}
}

// The memory of a code map grows with the symbols in use, not with those on the dial: a
// table of all pairs of 100,000 symbols would not fit into memory.
func TestCodeMapOfALargeSelector(t *testing.T) {
	t.Parallel()
	f := &Family{Name: "Grebe", CodeLength: 2, Readback: []string{"K1"}}
	for i := range 100_000 {
		f.Selector = append(f.Selector, "S"+strconv.Itoa(i))
	}
	used := []string{"S0", "S500", "S99999"}
	var rows []Configuration
	for i := range 18 { // each pair twice; lit where the symbols are the same
		a, b := used[i%3], used[i/3%3]
		pattern := map[bool]Pattern{true: "1", false: "0"}[a == b]
		rows = append(rows, Configuration{Model: ModelKey{Brand: "Ouse", Model: strconv.Itoa(i)}, Code: []string{a, b}, Pattern: pattern})
	}
	m := NewTable(f, rows).CodeMap()
	if diff := cmp.Diff([]int{1, 2}, m.Points[0].Places); diff != "" {
		t.Fatal(diff)
	}
	for code, want := range map[[2]string]Prediction{
		{"S500", "S500"}: "1", {"S0", "S99999"}: "0", {"S99999", "S99999"}: "1", {"S1", "S1"}: "?", {"S0", "S1"}: "?",
	} {
		if got, err := m.Predict(code[:]); got != want || err != nil {
			t.Errorf("%s shows %s (%v), want %s", code, got, err, want)
		}
	}
}
