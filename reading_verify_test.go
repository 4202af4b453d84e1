package standin

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// dipper is a family of two places over A to D, whose four points show the
// symbols in binary: A 00, B 01, C 10, D 11. Rows are "code pattern model".
func dipper(rows ...string) *Table {
	f := &Family{Name: "Dipper", Selector: []string{"A", "B", "C", "D"}, CodeLength: 2, Readback: []string{"K1", "K2", "K3", "K4"}}
	var configurations []Configuration
	for _, row := range rows {
		cells := strings.Fields(row)
		c := Configuration{Family: f.Name, Code: strings.Split(cells[0], ""), Model: ModelKey{Brand: "Ouse", Model: cells[2]}}
		if cells[1] != "none" {
			c.Pattern = Pattern(cells[1])
		}
		configurations = append(configurations, c)
	}
	return NewTable(f, configurations)
}

func codesOf(settings []Setting) []string {
	var codes []string
	for _, s := range settings {
		codes = append(codes, strings.Join(s.Code, "")+" "+string(s.Pattern))
	}
	return codes
}

func codesOfNearest(nearest []Neighbour) []string {
	var codes []string
	for _, n := range nearest {
		codes = append(codes, strings.Join(n.Code, "")+" "+string(n.Pattern))
	}
	return codes
}

func TestVerify(t *testing.T) {
	t.Parallel()
	table := dipper("AB 0001 W1", "AB 0001 W2", "BA 0100 W3", "CC 10-0 W4", "CD 1010 W5", "DD none W6", "DA ---- W7")
	tests := []struct {
		name, code string
		pattern    Pattern
		reading    Reading
		want       Tally
		mismatches string
		toRead     string
		alike      []string
		text       string // part of it
	}{
		{"as it must be", "AB", "0001", "0001", Tallies, "", "", []string{"DA ----"}, "The reading tallies. It is not distinguishable from the code D A (Ouse W7)."},
		{"one unread", "AB", "0001", "000?", Incomplete, "", "K4", []string{"DA ----"}, "it is not proved. Still to read: K4."},
		{"an either unread", "CC", "10-0", "10?0", Tallies, "", "", []string{"CD 1010", "DA ----"}, "not distinguishable from the code C D (Ouse W5) and the code D A"},
		{"all unread", "AB", "0001", "????", Incomplete, "", "K1 K2 K3 K4", []string{"BA 0100", "CC 10-0", "CD 1010", "DA ----"}, "No point was read: nothing is proved."},
		{"one other", "AB", "0001", "0101", DoesNotTally, "K2", "", nil, "The reading does not tally: K2 is lit and must be unlit."},
		{"flashing for lit, one unread", "AB", "0001", "?00f", DoesNotTally, "K4", "K1", nil, "K4 is flashing and must be lit. Still to read: K1."},
		{"no pattern recorded", "DD", "", "0101", ProvesNothing, "", "", nil, "No pattern is recorded for this code"},
		{"all either", "DA", "----", "0101", ProvesNothing, "", "", nil, "holds for any reading: it proves nothing"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			v := table.Verify(strings.Split(tt.code, ""), tt.pattern, tt.reading)
			if v.Tally != tt.want || !strings.Contains(v.Text, tt.text) {
				t.Errorf("%s: %q; want %s: %q", v.Tally, v.Text, tt.want, tt.text)
			}
			var wrong []string
			for _, m := range v.Mismatches {
				wrong = append(wrong, m.Point)
			}
			if got := strings.Join(wrong, " "); got != tt.mismatches {
				t.Errorf("mismatches %q, want %q", got, tt.mismatches)
			}
			if got := strings.Join(v.ToRead, " "); got != tt.toRead {
				t.Errorf("to read %q, want %q", got, tt.toRead)
			}
			if diff := cmp.Diff(tt.alike, codesOf(v.Alike)); diff != "" {
				t.Errorf("alike (-want +got):\n%s", diff)
			}
		})
	}
}

func TestTrust(t *testing.T) {
	t.Parallel()
	rows := []string{"AB 0001 W1", "AB 0001 W2", "BA 0100 W3", "DB 1101 W4", "CC 10-0 W5"}
	tests := []struct {
		name, code string
		pattern    Pattern
		rows       []string
		distance   Maybe[int]
		nearest    []string
		text       string
	}{
		{"two points", "AB", "0001", rows, Known(2), []string{"BA 0100", "CC 10-0", "DB 1101"}, "Up to 1 misread point would be noticed."},
		{"one point", "AB", "0001", append(rows, "AC 0011 W6"), Known(1), []string{"AC 0011"}, "One misread point can hide a wrong code."},
		{"none, for the other holds for both", "AB", "0001", append(rows, "AC 00-- W6"), Known(0), []string{"AC 00--"}, "does not prove this code. It is not distinguishable from the code A C (Ouse W6)."},
		{"four points", "AB", "0001", []string{"AB 0001 W1", "CC 1110 W2"}, Known(4), []string{"CC 1110"}, "Up to 3 misread points"},
		{"its own code with another pattern does not count", "AB", "0001", []string{"AB 0001 W1", "AB 0000 W2"}, Maybe[int]{}, nil, "No other code of the family"},
		{"alone", "AB", "0001", rows[:2], Maybe[int]{}, nil, "No other code of the family"},
		{"no pattern", "AB", "", rows, Maybe[int]{}, nil, "No pattern is recorded for this code."},
		{"all either", "AB", "----", rows, Known(0), []string{"BA 0100", "CC 10-0", "DB 1101"}, "it proves nothing"},
		{"another without a pattern", "AB", "0001", []string{"AB 0001 W1", "BA 0100 W2", "CD none W3"}, Known(2), []string{"BA 0100"}, "1 other code has no pattern recorded: how far it is, is not known."},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got := dipper(tt.rows...).Trust(strings.Split(tt.code, ""), tt.pattern)
			if got.Distance != tt.distance || !strings.Contains(got.Text, tt.text) {
				t.Errorf("distance %v: %q; want %v: %q", got.Distance, got.Text, tt.distance, tt.text)
			}
			if diff := cmp.Diff(tt.nearest, codesOfNearest(got.Nearest)); diff != "" {
				t.Errorf("nearest (-want +got):\n%s", diff)
			}
		})
	}
}

// Every outcome but one is a caution.
func TestTallyCaution(t *testing.T) {
	t.Parallel()
	for tally, want := range map[Tally]bool{Tallies: false, Incomplete: true, DoesNotTally: true, ProvesNothing: true} {
		if got := tally.Caution() != ""; got != want {
			t.Errorf("%s is a caution: %t, want %t", tally, got, want)
		}
	}
}
