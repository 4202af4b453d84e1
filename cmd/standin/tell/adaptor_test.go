package tell

import (
	"strings"
	"testing"

	"standin"
)

// An adaptor is told with its plugs; stock of which nothing is recorded is not
// told as none.
func TestAdaptor(t *testing.T) {
	t.Parallel()
	end := func(name string, ways int) *standin.Layout {
		return &standin.Layout{Name: name, Connectors: []standin.Connector{{Marking: "P", Ways: standin.Known(ways)}}}
	}
	a := &standin.AdaptorRecord{Adaptor: standin.Adaptor{PartNumber: "LM-1", Title: "Loom", Takes: end("wide", 10), Gives: end("narrow", 6)}}
	for want, stock := range map[string][]standin.Stock{
		"not recorded":    nil,
		"none free":       {{Location: "front", Condition: "new"}},
		"2 used at front": {{Location: "front", Condition: "used", Quantity: 2, Free: 2}},
	} {
		a.Stock = stock
		got := Adaptor(a)
		for _, said := range []string{"LM-1, Loom", want, "wide (P 10 ways)", "narrow (P 6 ways)"} {
			if !strings.Contains(got, said) {
				t.Errorf("%q is not in\n%s", said, got)
			}
		}
		if strings.Contains(got, "label") {
			t.Errorf("an adaptor has no revision to read:\n%s", got)
		}
	}
}
