package standin

import (
	"cmp"
	"slices"
	"strings"
)

// Availability says where free pieces of a board are, known to be of its
// revision or not. The order is that of the answer, best first.
type Availability uint8

// The classes of availability. An "if revision" holds where the label turns out
// to name the revision.
const (
	Here Availability = iota // at the location asked for
	HereIfRevision
	Elsewhere
	ElsewhereIfRevision
	NotAvailable
)

// String is the word of the API: here, here-if-revision, elsewhere,
// elsewhere-if-revision or none.
func (a Availability) String() string {
	return [...]string{"here", "here-if-revision", "elsewhere", "elsewhere-if-revision", "none"}[a]
}

// PartStock is the stock of an adaptor. Where Recorded is false, it is not known
// whether there is any.
type PartStock struct {
	PartNumber string
	Recorded   bool
	Stock      []StockLine
}

// availability returns the class of one line of stock.
func (l *StockLine) availability(location string) Availability {
	here := location != "" && l.Location == location
	switch {
	case l.Free <= 0:
		return NotAvailable
	case here && l.RevisionKnown:
		return Here
	case here:
		return HereIfRevision
	case l.RevisionKnown:
		return Elsewhere
	}
	return ElsewhereIfRevision
}

// available returns the best class among lines of stock.
func available(lines []StockLine, location string) Availability {
	best := NotAvailable
	for i := range lines {
		best = min(best, lines[i].availability(location))
	}
	return best
}

// conditions are those of stock, best first.
var conditions = []string{"new", "refurbished", "used"}

// bestCondition returns the rank of the best condition among the free pieces of a
// class, or len(conditions) where there is none.
func bestCondition(lines []StockLine, class Availability, location string) int {
	best := len(conditions)
	for i := range lines {
		l := &lines[i]
		if rank := slices.Index(conditions, l.Condition); l.Free > 0 && rank >= 0 && l.availability(location) == class {
			best = min(best, rank)
		}
	}
	return best
}

// Condition returns the best condition among the free pieces of the board's own
// class of availability, whatever that of its adaptors; "" where there are none.
func (c *Candidate) Condition(location string) string {
	rank := bestCondition(c.Stock, available(c.Stock, location), location)
	if rank == len(conditions) {
		return ""
	}
	return conditions[rank]
}

// stock returns what counts for a revision: its own stock, and that of the part
// whose revision is not known.
func (e *evaluation) stock(part, revision string) []StockLine {
	var lines []StockLine
	for _, s := range e.dossier.Stock {
		if s.PartNumber == part && (s.Revision == "" || s.Revision == revision) {
			lines = append(lines, StockLine{s.Location, s.Condition, s.Free, s.Revision != ""})
		}
	}
	return lines
}

// adaptorStock returns the stock of the adaptors that a candidate takes in any of
// its builds. An adaptor has no revision that would have to be read.
func (e *evaluation) adaptorStock(builds []BuildAnswer) []PartStock {
	var all []PartStock
	for i := range builds {
		for _, part := range builds[i].Adaptors {
			if slices.ContainsFunc(all, func(s PartStock) bool { return s.PartNumber == part }) {
				continue
			}
			s := PartStock{PartNumber: part}
			for _, line := range e.dossier.Stock {
				if line.PartNumber == part {
					s.Recorded = true
					s.Stock = append(s.Stock, StockLine{line.Location, line.Condition, line.Free, true})
				}
			}
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(a, b PartStock) int { return strings.Compare(a.PartNumber, b.PartNumber) })
	return all
}

// availability returns the worst of the board's own class and those of its
// adaptors whose stock is recorded.
func (c *Candidate) availability(location string) Availability {
	worst := available(c.Stock, location)
	for i := range c.AdaptorStock {
		if s := &c.AdaptorStock[i]; s.Recorded {
			worst = max(worst, available(s.Stock, location))
		}
	}
	return worst
}

// compareAvailability compares by the part of the order of rule 4 that is about
// stock.
func compareAvailability(x, y *Candidate, location string) int {
	if order := cmp.Compare(x.Availability, y.Availability); order != 0 {
		return order
	}
	return cmp.Compare(bestCondition(x.Stock, available(x.Stock, location), location),
		bestCondition(y.Stock, available(y.Stock, location), location))
}
