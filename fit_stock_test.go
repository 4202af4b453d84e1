package standin_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// Only pieces of known revision count for the first rank; those of unknown
// revision come after, and a better class before a better condition.
func TestOrderByStock(t *testing.T) {
	t.Parallel()
	d := simple()
	d.Boards[0].Revisions = nil
	for _, label := range []string{"A", "B", "C", "D", "E", "F"} {
		d.Boards[0].Revisions = append(d.Boards[0].Revisions, revision(label, 1))
	}
	d.Boards = append(d.Boards, d.Boards[0])
	d.Boards[1].PartNumber, d.Boards[1].Revisions = "P2", []standin.Revision{revision("A", 1)}
	line := func(part, revision, location, condition string, free int) {
		d.Stock = append(d.Stock, standin.Stock{Location: location, PartNumber: part, Revision: revision, Condition: condition, Free: free})
	}
	line("P1", "A", "front", "new", 0)
	line("P1", "B", "north", "used", 1)
	line("P1", "C", "front", "used", 1)
	line("P1", "D", "front", "refurbished", 1)
	line("P1", "E", "north", "new", 1)
	line("P2", "", "front", "new", 2)
	var got []string
	for _, c := range standin.Fit(d, standin.Machine{Location: "front"}).Candidates {
		got = append(got, c.PartNumber+c.Revision+" "+c.Availability.String()+" "+c.Condition("front"))
	}
	want := []string{"P1D here refurbished", "P1C here used", "P2A here-if-revision new", "P1E elsewhere new", "P1B elsewhere used", "P1A none ", "P1F none "}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestAdaptorsAreGoods(t *testing.T) {
	t.Parallel()
	stock := func(location string, free int) standin.Stock {
		return standin.Stock{Location: location, PartNumber: "L1", Condition: "new", Quantity: 2, Free: free}
	}
	for _, test := range []struct {
		name  string
		stock []standin.Stock
		want  standin.Availability
	}{
		{"not recorded", nil, standin.Here},
		{"here", []standin.Stock{stock("front", 1), stock("north", 0)}, standin.Here},
		{"elsewhere", []standin.Stock{stock("front", 0), stock("north", 1)}, standin.Elsewhere},
		{"none free", []standin.Stock{stock("front", 0)}, standin.NotAvailable},
	} {
		d := simple()
		d.Builds[0].Layout = layout("harness", wired("CN1", "heater", "motor"))
		d.Boards[0].Revisions[0].Layout = layout("board", wired("J1", "motor", "heater"))
		d.Adaptors = []standin.Adaptor{{PartNumber: "L1", Takes: layout("takes", wired("A", "heater", "motor")), Gives: layout("gives", wired("B", "motor", "heater"))}}
		d.Stock = append(test.stock, standin.Stock{Location: "front", PartNumber: "P1", Revision: "R1", Condition: "new", Free: 1})
		c := standin.Fit(d, standin.Machine{Location: "front"}).Candidates[0]
		if c.Availability != test.want || len(c.AdaptorStock) != 1 || c.AdaptorStock[0].PartNumber != "L1" ||
			c.AdaptorStock[0].Recorded != (test.stock != nil) || len(c.AdaptorStock[0].Stock) != len(test.stock) {
			t.Errorf("%s: %s, %+v; want %s", test.name, c.Availability, c.AdaptorStock, test.want)
		}
	}
}
