package standin

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestParseReading(t *testing.T) {
	t.Parallel()
	readback := []string{"K1", "K2", "lamp", "H4"}
	tests := []struct {
		text, want, fault string
	}{
		{"10f?", "10f?", ""},
		{"10F-", "10f?", ""},
		{" 1 0 f ? ", "10f?", ""},
		{"10 f?", "10f?", ""},
		{"????", "????", ""},
		{"lit off flashing unread", "10f?", ""},
		{"on, dark, BLINKING, skip", "10f?", ""},
		{"K1=lit K2=off lamp=f H4=?", "10f?", ""},
		{"H4:on k1:0", "0??1", ""},
		{"K1 lit, K2 off", "10??", ""},
		{"K1 = lit", "1???", ""},
		{"lamp flashing", "??f?", ""},
		{"K1=lit K1=on", "1???", ""},

		{"10f", "", "too short: it has 3 points, the family reads 4 (K1 K2 lamp H4)"},
		{"10f01", "", "too long: it has 5 points"},
		{"lit off", "", "too short: it has 2 points"},
		{"", "", "the reading is empty"},
		{"10x?", "", `"10x?" is nothing a point can show`},
		{"K1=green", "", `"green" is nothing a point can show`},
		{"K9=lit", "", `"K9" is not a read-back point of the family (K1 K2 lamp H4)`},
		{"K1=lit K1=off", "", "K1 is given twice, as lit and as unlit"},
		{"K1=lit K2", "", "not a name and what it shows for each point"},
	}
	for _, tt := range tests {
		got, err := (&Family{Readback: readback}).ParseReading(tt.text)
		checkError(t, tt.text, err, tt.fault)
		if string(got) != tt.want {
			t.Errorf("%q: reading %q, want %q", tt.text, got, tt.want)
		}
		if err != nil && CodeOf(err) != CodeBadRequest {
			t.Errorf("%q: code %q, want %q", tt.text, CodeOf(err), CodeBadRequest)
		}
	}
}

func TestParseReadingWithoutPoints(t *testing.T) {
	t.Parallel()
	_, err := (&Family{}).ParseReading("1")
	checkError(t, "1", err, "no read-back points")
}

func TestParseReadingOfPointsThatDifferInCase(t *testing.T) {
	t.Parallel()
	readback := []string{"k1", "K1"}
	got, err := (&Family{Readback: readback}).ParseReading("K1=lit")
	if err != nil || got != "?1" {
		t.Errorf("K1 is %q, %v; want ?1", got, err)
	}
	_, err = (&Family{Readback: readback}).ParseReading("x=1")
	checkError(t, "x=1", err, "not a read-back point")
}

func TestReadingOf(t *testing.T) {
	t.Parallel()
	readback := []string{"K1", "K2", "K3"}
	got, err := (&Family{Readback: readback}).ReadingOf(map[string]string{"K3": "off", "k1": "flashing"})
	if err != nil || got != "f?0" {
		t.Errorf("reading %q, %v; want f?0", got, err)
	}
	_, err = (&Family{Readback: readback}).ReadingOf(map[string]string{"K4": "off"})
	checkError(t, "K4", err, `"K4" is not a read-back point`)
}

func TestMismatches(t *testing.T) {
	t.Parallel()
	tests := []struct {
		reading Reading
		pattern Pattern
		want    []int
	}{
		{"10f?", "10f1", nil},
		{"10f?", "0-01", []int{0, 2}},
		{"????", "10f-", nil},
		{"1010", "----", nil},
		{"f", "1", []int{0}},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, tt.reading.Mismatches(tt.pattern)); diff != "" {
			t.Errorf("%s against %s (-want +got):\n%s", tt.reading, tt.pattern, diff)
		}
		mismatches, _ := pack(string(tt.reading)).compare(packPattern(tt.pattern))
		if mismatches != len(tt.want) {
			t.Errorf("%s against %s by masks: %d mismatches, want %d", tt.reading, tt.pattern, mismatches, len(tt.want))
		}
	}
}

func TestParseCode(t *testing.T) {
	t.Parallel()
	letters := &Family{Name: "Teal", Selector: []string{"A", "B", "C"}, CodeLength: 3}
	numbers := &Family{Name: "Coot", Selector: []string{"1", "2", "10"}, CodeLength: 2}
	none := &Family{Name: "Rail"}
	tests := []struct {
		family *Family
		text   string
		want   []string
		fault  string
	}{
		{letters, "CAB", []string{"C", "A", "B"}, ""},
		{letters, " C A  B", []string{"C", "A", "B"}, ""},
		{numbers, "10 2", []string{"10", "2"}, ""},
		{none, "", nil, ""},
		{numbers, "102", nil, `the code "102" has 1 symbol, a code of family Coot has 2`},
		{letters, "CAE", nil, `"E" at place 3 of the code is not on the selector (A B C)`},
		{letters, "CA", nil, "has 2 symbols, a code of family Teal has 3"},
		{letters, "", nil, "has 0 symbols"},
		{none, "A", nil, "has 1 symbol, a code of family Rail has 0"},
	}
	for _, tt := range tests {
		got, err := tt.family.ParseCode(tt.text)
		checkError(t, tt.text, err, tt.fault)
		if err == nil && !slices.Equal(got, tt.want) {
			t.Errorf("%q: code %q, want %q", tt.text, got, tt.want)
		}
	}
}

// What parses has the right length and characters, reads the same when it is
// written again, and nothing makes the parser fall over.
func FuzzParseReading(f *testing.F) {
	for _, seed := range []string{"10f?", "K1=lit K2:off", "K1 lit, k2 off", "lit off ? f", "=", "K1==1", "1=1"} {
		f.Add(seed)
	}
	readback := []string{"K1", "K2", "1", "lit"}
	f.Fuzz(func(t *testing.T, text string) {
		reading, err := (&Family{Readback: readback}).ParseReading(text)
		if err != nil {
			if CodeOf(err) != CodeBadRequest {
				t.Errorf("%q: %v is no bad request", text, err)
			}
			return
		}
		if len(reading) != len(readback) || strings.Trim(string(reading), "10f?") != "" {
			t.Errorf("%q: reading %q", text, reading)
		}
		if again, err := (&Family{Readback: readback}).ParseReading(string(reading)); err != nil || again != reading {
			t.Errorf("%q: %q reads as %q, %v", text, reading, again, err)
		}
	})
}

func FuzzParseCode(f *testing.F) {
	for _, seed := range []string{"CAB", "C A B", "", "é", "A\x00B"} {
		f.Add(seed)
	}
	family := &Family{Name: "Teal", Selector: []string{"A", "B", "é"}, CodeLength: 3}
	f.Fuzz(func(t *testing.T, text string) {
		code, err := family.ParseCode(text)
		if err == nil && len(code) != family.CodeLength {
			t.Errorf("%q: code %q", text, code)
		}
	})
}
