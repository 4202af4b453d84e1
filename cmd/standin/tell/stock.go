package tell

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

// tellStock says where the board is on the shelf: at the asked location first.
func tellStock(p *page, stock []standin.StockLine, location string) {
	lines := shelves(stock, location)
	if len(lines) == 0 {
		p.item(bodyIndent, "stock", "none free")
		return
	}
	var said []string
	for _, s := range lines {
		text := fmt.Sprintf("%d %s at %s", s.Free, s.Condition, s.Location)
		if !s.RevisionKnown {
			text += " (revision not known: read its label before it leaves the counter)"
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

// whereabouts says in half a sentence whether a board is on the shelf.
func whereabouts(stock []standin.StockLine, location string) string {
	lines := shelves(stock, location)
	if len(lines) == 0 {
		return "none in stock"
	}
	at := lines[0].Location
	free := 0
	for _, s := range lines {
		if s.Location == at {
			free += s.Free
		}
	}
	here := fmt.Sprintf("%d in stock at %s", free, at)
	if location != "" && at != location {
		return "none at " + location + " but " + here
	}
	return here
}
