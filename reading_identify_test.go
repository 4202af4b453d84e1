package standin

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestIdentify(t *testing.T) {
	t.Parallel()
	table := dipper("AB 0001 W1", "AB 0001 W2", "AC 00-1 W3", "BA 0100 W4", "DA ---- W5", "DB none W6", "CC f0f0 W7")
	tests := []struct {
		reading Reading
		want    []string
	}{
		{"0001", []string{
			"AB 0001 W1 W2 exact, 4 counting", "AC 00-1 W3 exact, 3 counting", "DA ---- W5 not exact, 0 counting",
			"BA 0100 W4 not exact, 4 counting: K2 K4", "CC f0f0 W7 not exact, 4 counting: K1 K3 K4"}},
		{"0?0?", []string{
			"AB 0001 W1 W2 exact, 2 counting", "BA 0100 W4 exact, 2 counting", "AC 00-1 W3 exact, 1 counting",
			"DA ---- W5 not exact, 0 counting", "CC f0f0 W7 not exact, 2 counting: K1 K3"}},
	}
	for _, tt := range tests {
		all, err := table.Identify(tt.reading)
		if err != nil {
			t.Errorf("%s: %v", tt.reading, err)
		}
		var got []string
		for _, s := range all {
			got = append(got, identifiedText(s))
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.reading, diff)
		}
	}
	_, err := table.Identify("????")
	checkError(t, "????", err, "no point was read")
}

func identifiedText(s Identified) string {
	text := strings.Join(s.Code, "") + " " + string(s.Pattern)
	for _, m := range s.Models() {
		text += " " + m.Model
	}
	if !s.Exact {
		text += " not"
	}
	text += fmt.Sprintf(" exact, %d counting", s.Counting)
	if len(s.Differs) > 0 {
		text += ": " + strings.Join(s.Differs, " ")
	}
	return text
}

func TestPatternIndex(t *testing.T) {
	t.Parallel()
	x := NewPatternIndex()
	for i, p := range []Pattern{"0001", "0001", "00-1", "0100", "----", "", "1110", "001"} {
		x.Add(p, int64(i))
	}
	got, err := x.Nearest("0001", 4)
	want := Nearest{Exact: 3, Rows: 6, Patterns: []NearPattern{
		{"0001", []int64{0, 1}, 0, 4}, {"00-1", []int64{2}, 0, 3}, {"----", []int64{4}, 0, 0}}}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v; nearest (-want +got):\n%s", err, diff)
	}
	if got, err := x.Nearest("00000", 4); got.Rows != 0 || err != nil {
		t.Errorf("five points: %v, %v; want nothing", got, err)
	}
	_, err = x.Nearest("????", 4)
	checkError(t, "????", err, "no point was read")
}

// The index agrees with comparing character by character, for patterns of one
// word and of two.
func TestPatternIndexAgainstAPlainScan(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 1))
	for _, points := range []int{1, 9, 64, 65, 70} {
		x := NewPatternIndex()
		var patterns []Pattern
		for i := range 200 {
			p := make([]byte, points)
			for j := range p {
				p[j] = "10f-"[rng.IntN(4)]
			}
			patterns = append(patterns, Pattern(p))
			x.Add(Pattern(p), int64(i))
		}
		reading := Reading(strings.ReplaceAll(string(patterns[0]), "-", "?"))
		if reading.Read() == 0 {
			reading = "1" + reading[1:]
		}
		got, err := x.Nearest(reading, len(patterns))
		if err != nil {
			t.Fatal(err)
		}
		var rows []int64
		for _, near := range got.Patterns {
			if n := len(reading.Mismatches(near.Pattern)); n != near.Mismatches {
				t.Errorf("%s against %s: %d mismatches, want %d", reading, near.Pattern, near.Mismatches, n)
			}
			rows = append(rows, near.Rows...)
		}
		plain := make([]int64, len(patterns))
		for i := range plain {
			plain[i] = int64(i)
		}
		slices.SortStableFunc(plain, func(a, b int64) int {
			return compareReading(reading, patterns[a], patterns[b])
		})
		if points > 1 { // of one point, equal patterns stand together
			if diff := cmp.Diff(plain, rows); diff != "" {
				t.Errorf("%d points (-plain +index):\n%s", points, diff)
			}
		}
		if len(rows) != len(patterns) {
			t.Errorf("%d points: %d rows, want %d", points, len(rows), len(patterns))
		}
	}
}

func compareReading(r Reading, a, b Pattern) int {
	counting := func(p Pattern) (n int) {
		for i := range p {
			if p[i] != ShowsEither && r[i] != NotRead {
				n++
			}
		}
		return n
	}
	if order := len(r.Mismatches(a)) - len(r.Mismatches(b)); order != 0 {
		return order
	}
	return counting(b) - counting(a)
}
