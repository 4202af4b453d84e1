package tell

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"standin"
)

// tellStock says where the board is on the shelf: at the asked location first.
func tellStock(p *page, c *standin.Candidate, location string) {
	lines := shelves(c.Stock, location)
	if len(lines) == 0 {
		p.item(bodyIndent, "stock", "none free")
		return
	}
	var said []string
	for _, s := range lines {
		text := fmt.Sprintf("%d %s at %s", s.Free, s.Condition, s.Location)
		if !s.RevisionKnown {
			text += " if the label reads " + cmp.Or(c.Revision, "its revision") + " (read it before it leaves the counter)"
		}
		said = append(said, text)
	}
	p.item(bodyIndent, "stock", strings.Join(said, ", "))
}

// shelves are the lines with something free, the asked location before others.
func shelves(stock []standin.StockLine, location string) []standin.StockLine {
	free := slices.DeleteFunc(slices.Clone(stock), func(s standin.StockLine) bool { return s.Free <= 0 })
	slices.SortStableFunc(free, func(a, b standin.StockLine) int {
		return rank(a.Location != location) - rank(b.Location != location)
	})
	return free
}

func rank(later bool) int {
	if later {
		return 1
	}
	return 0
}
