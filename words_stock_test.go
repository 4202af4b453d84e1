package standin_test

import (
	"testing"

	"standin"
)

// Only pieces of known revision are told where there are some; others if their
// label reads so. The condition is said.
func TestWhereabouts(t *testing.T) {
	t.Parallel()
	line := func(at, condition string, free int, known bool) standin.StockLine {
		return standin.StockLine{Location: at, Condition: condition, Free: free, RevisionKnown: known}
	}
	for name, test := range map[string]struct {
		stock []standin.StockLine
		at    string
		want  string
	}{
		"nothing":                 {nil, "front", "none in stock"},
		"none free":               {[]standin.StockLine{line("front", "new", 0, true)}, "front", "none in stock"},
		"here":                    {[]standin.StockLine{line("front", "new", 2, true), line("store", "new", 4, true)}, "front", "2 new at front"},
		"two conditions":          {[]standin.StockLine{line("front", "new", 2, true), line("front", "used", 1, true)}, "front", "2 new and 1 used at front"},
		"known before unknown":    {[]standin.StockLine{line("front", "used", 2, false), line("front", "used", 1, true)}, "front", "1 used at front"},
		"unknown here":            {[]standin.StockLine{line("front", "used", 2, false), line("store", "new", 4, true)}, "front", "2 used at front if the label reads C"},
		"elsewhere":               {[]standin.StockLine{line("store", "new", 4, true)}, "front", "none at front; 4 new at store"},
		"unknown elsewhere":       {[]standin.StockLine{line("store", "new", 4, false)}, "front", "none at front; 4 new at store if the label reads C"},
		"no location":             {[]standin.StockLine{line("store", "new", 4, true), line("front", "used", 1, true)}, "", "4 new at store, 1 used at front"},
		"no location and unknown": {[]standin.StockLine{line("store", "new", 4, false)}, "", "4 new at store if the label reads C"},
		"many places": {[]standin.StockLine{line("a", "new", 1, true), line("b", "new", 1, true), line("c", "new", 1, true), line("d", "new", 1, true)}, "",
			"1 new at a, 1 new at b, 1 new at c, and more at 1 place"},
	} {
		c := standin.Candidate{Revision: "C", Stock: test.stock}
		if got := c.Whereabouts(test.at); got != test.want {
			t.Errorf("%s: %q, want %q", name, got, test.want)
		}
	}
	c := standin.Candidate{Revision: "C", Stock: []standin.StockLine{line("front", "new", 2, true)}, AdaptorStock: []standin.PartStock{
		{PartNumber: "LM-1"}, {PartNumber: "LM-2", Recorded: true}, {PartNumber: "LM-3", Recorded: true, Stock: []standin.StockLine{line("store", "new", 1, true)}}}}
	want := "2 new at front; adaptor LM-1: stock not recorded; adaptor LM-2: none in stock; adaptor LM-3: none at front; 1 new at store"
	if got := c.Whereabouts("front"); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
