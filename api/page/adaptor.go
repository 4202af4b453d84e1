package page

import (
	"fmt"
	"strconv"
	"strings"

	"standin"
)

// adaptorPage is all that is recorded of one adaptor.
type adaptorPage struct {
	base
	Name            string // part number
	About           string
	Takes, Gives    []string // the plugs at its ends
	Here, Elsewhere []string // stock
	Recorded        bool     // some line of stock is
}

func (p *Pages) adaptorPage(a *standin.AdaptorRecord, location string) *adaptorPage {
	page := &adaptorPage{base: p.bare(a.PartNumber, location), Name: a.PartNumber, About: a.Title,
		Takes: plugsOf(a.Takes), Gives: plugsOf(a.Gives), Recorded: len(a.Stock) > 0}
	for _, s := range a.Stock {
		switch said := fmt.Sprintf("%d %s", s.Free, s.Condition); {
		case s.Free == 0:
		case s.Location == location:
			page.Here = append(page.Here, said)
		default:
			page.Elsewhere = append(page.Elsewhere, s.Location+" "+said)
		}
	}
	return page
}

// plugsOf are the plugs of a layout, a line each.
func plugsOf(l *standin.Layout) []string {
	var lines []string
	for _, c := range l.Connectors {
		line := c.Marking + ", ways not recorded"
		if ways, ok := c.Ways.Get(); ok {
			line = c.Marking + ", " + strconv.Itoa(ways) + "-way"
		}
		if circuits, ok := c.Circuits.Get(); ok {
			line += ": " + strings.Join(circuits, " ")
		}
		lines = append(lines, line)
	}
	return lines
}
