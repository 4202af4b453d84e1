package bundle

import (
	"strings"
	"testing"
)

func TestNearestName(t *testing.T) {
	t.Parallel()
	tests := []struct {
		unknown  string
		lastOnly bool
		names    string
		want     string // empty: none
	}{
		{"WM-1O0", false, "WM-100 WM-200", "WM-100"},
		{"wm 100", false, "WM-100 WM-101", "WM-100"},     // nothing but how it is written
		{"WM-1000", false, "WM-1001 WM-1011", "WM-1001"}, // the nearer
		{"WM-1005", false, "WM-1001 WM-1002", ""},        // two as near
		{"WM-10", false, "WM-10345", ""},                 // too far
		{"b2", false, "b1", ""},                          // too short to tell
		{"b-2", false, "B2", "B2"},
		{"ABCDEF", false, "ABXYEF", "ABXYEF"}, // two at most
		{"ABCDE", false, "ABXYE", ""},         // one in three at most
		{"ABCDE", false, "ABDCE", "ABDCE"},    // neighbours exchanged
		{"", false, "A", ""},
		{"Aldor/W1OO/x", false, "Aldor/W100/x Alder/W1OO/y", "Aldor/W100/x"},
		{"Alder/W1OO/x", false, "Aldor/W100/x", ""}, // two cells would have to be mended
		{"Alder/W100/x", false, "Aldor/W100/x", "Aldor/W100/x"},
		{"Alder/W100/x", true, "Aldor/W100/x", ""},
		{"PN-200/REV-O1", true, "PN-2OO/REV-O1 PN-200/REV-01", "PN-200/REV-01"},
	}
	for _, test := range tests {
		u := newUnknownName(strings.Split(test.unknown, "/"), test.lastOnly)
		for _, name := range strings.Split(test.names, " ") {
			parts := strings.Split(name, "/")
			u.observe(parts, foldAll(parts))
		}
		if got := strings.Join(u.meant(), "/"); got != test.want {
			t.Errorf("%q among %s is taken for %q, want %q", test.unknown, test.names, got, test.want)
		}
	}
}

// The names pass by in any order.
func TestNearestNameWhateverTheOrder(t *testing.T) {
	t.Parallel()
	for _, names := range [][]string{{"ABCDEG", "ABCDEH", "A8CDEF"}, {"A8CDEF", "ABCDEG", "ABCDEH"}, {"ABCDEG", "A8CDEF", "ABCDEH"}} {
		u := newUnknownName([]string{"ABCDEF"}, false)
		for _, name := range names {
			u.observe([]string{name}, foldAll([]string{name}))
		}
		if got := u.meant(); len(got) == 0 || got[0] != "A8CDEF" {
			t.Errorf("of %v %v is taken", names, got)
		}
	}
}
