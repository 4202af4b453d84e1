package standin

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestParseAlphabet(t *testing.T) {
	t.Parallel()
	tests := []struct {
		cell   string
		points int
		want   []string
		ok     bool
	}{
		{"", 3, nil, true},
		{"lamp", 3, nil, true},
		{"lamp LAMP lamp", 3, nil, true},
		{"digit", 2, []string{"0123456789", "0123456789"}, true},
		{"lamp red-green", 2, []string{"10f", "0rg"}, true},
		{"sign lamp", 2, []string{"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", "10f"}, true},
		{"amber", 1, []string{"0a"}, true},
		{"digit", 0, []string{}, true},
		{"digit lamp", 3, nil, false},
		{"digits", 2, nil, false},
		{"red-red", 1, nil, false},
		{"red-", 1, nil, false},
		{"orange", 1, nil, false},
	}
	for _, test := range tests {
		got, err := ParseAlphabet(test.cell, test.points)
		if (err == nil) != test.ok {
			t.Errorf("%q for %d points: %v", test.cell, test.points, err)
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%q for %d points:\n%s", test.cell, test.points, diff)
		}
	}
}

func TestParsePanel(t *testing.T) {
	t.Parallel()
	readback := []string{"P1", "P2", "P3"}
	tests := []struct {
		cell string
		want [][]string
		ok   bool
	}{
		{"", nil, true},
		{"P2 P1", [][]string{{"P2", "P1"}}, true},
		{"P1 P2/P3", [][]string{{"P1", "P2"}, {"P3"}}, true},
		{"P1 P4", nil, false},
		{"P1 / P1", nil, false},
		{"P1 // P2", nil, false},
	}
	for _, test := range tests {
		got, err := ParsePanel(test.cell, readback)
		if (err == nil) != test.ok {
			t.Errorf("%q: %v", test.cell, err)
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%q:\n%s", test.cell, diff)
		}
	}
}
