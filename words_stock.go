package standin

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Whereabouts says in half a sentence where free pieces of a board are, and then
// its adaptors: pieces that are known to be of its revision, and only where there
// are none those that may be, if their label reads so. The condition is said.
func (c *Candidate) Whereabouts(location string) string {
	said := c.ownWhereabouts(location)
	for i := range c.AdaptorStock {
		s := &c.AdaptorStock[i]
		said += "; adaptor " + s.PartNumber + ": " + s.Whereabouts(location)
	}
	return said
}

func (c *Candidate) ownWhereabouts(location string) string {
	ifRevision := ""
	if c.Revision != "" {
		ifRevision = " if the label reads " + c.Revision
	}
	known := keep(c.Stock, func(l *StockLine) bool { return l.RevisionKnown })
	unread := keep(c.Stock, func(l *StockLine) bool { return !l.RevisionKnown })
	here := func(lines []StockLine) string {
		return atPlaces(lines, func(l *StockLine) bool { return l.Location == location })
	}
	switch nothing := "none at " + location + "; "; {
	case location == "" && atPlaces(known, anywhere) != "":
		return atPlaces(known, anywhere)
	case location == "" && atPlaces(unread, anywhere) != "":
		return atPlaces(unread, anywhere) + ifRevision
	case here(known) != "":
		return here(known)
	case here(unread) != "":
		return here(unread) + ifRevision
	case atPlaces(known, anywhere) != "":
		return nothing + atPlaces(known, anywhere)
	case atPlaces(unread, anywhere) != "":
		return nothing + atPlaces(unread, anywhere) + ifRevision
	}
	return "none in stock"
}

// Whereabouts says where free pieces of an adaptor are: "1 new at front".
func (s *PartStock) Whereabouts(location string) string {
	if !s.Recorded {
		return "stock not recorded"
	}
	one := Candidate{Stock: s.Stock}
	return one.ownWhereabouts(location)
}

func keep(lines []StockLine, kept func(*StockLine) bool) []StockLine {
	return slices.DeleteFunc(slices.Clone(lines), func(l StockLine) bool { return !kept(&l) })
}

func anywhere(*StockLine) bool { return true }

// placesNamed is how many locations are named before the others are counted.
const placesNamed = 3

// atPlaces are the free pieces of lines by location, in their order: "2 new and 1
// used at front, 4 new at store". Empty where there are none.
func atPlaces(lines []StockLine, at func(*StockLine) bool) string {
	var places []string
	pieces := map[string][]string{}
	for i := range lines {
		l := &lines[i]
		if l.Free <= 0 || !at(l) {
			continue
		}
		if pieces[l.Location] == nil {
			places = append(places, l.Location)
		}
		pieces[l.Location] = append(pieces[l.Location], strconv.Itoa(l.Free)+" "+l.Condition)
	}
	var said []string
	for _, place := range places[:min(placesNamed, len(places))] {
		said = append(said, AndList(pieces[place])+" at "+place)
	}
	if more := len(places) - placesNamed; more > 0 {
		said = append(said, fmt.Sprintf("and more at %s", countOf(more, "place")))
	}
	return strings.Join(said, ", ")
}

// Ohms are those to expect on the meter, to as many digits as one can be read to:
// "18.0 to 21.0 Ω". Empty where none are known.
func (p *Precheck) Ohms() string {
	if !p.OhmsLow.Known && !p.OhmsHigh.Known {
		return ""
	}
	return ohmsText(p.OhmsLow, p.OhmsHigh)
}
