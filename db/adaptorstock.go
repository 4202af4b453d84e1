package db

import (
	"maps"
	"sync/atomic"

	"standin"
)

// mostAdaptorStock is of how many adaptors the stock is held at most.
const mostAdaptorStock = 20_000

// adaptorStock holds the stock of adaptors as of one state. Nearly every model may take
// dozens of them, and most questions follow each other in the same state. It is safe for
// concurrent use.
type adaptorStock struct {
	held atomic.Pointer[stockAsOf] // nil: nothing is held
}

// stockAsOf is the stock of some adaptors in a state. It is not changed.
type stockAsOf struct {
	state standin.State
	lines map[string][]standin.Stock // by part number; without lines: none is recorded
}

// at returns what is held as of a state, empty where that is nothing.
func (s *adaptorStock) at(state standin.State) map[string][]standin.Stock {
	if held := s.held.Load(); held != nil && held.state == state {
		return held.lines
	}
	return nil
}

// isBehind reports whether what is held is of another state than the one known last.
func (s *adaptorStock) isBehind(last standin.State) bool {
	held := s.held.Load()
	return held == nil || last != (standin.State{}) && held.state != last
}

// keep holds the stock of the adaptors that dossiers have, which was read in a state.
func (s *adaptorStock) keep(state standin.State, dossiers []*standin.Dossier, read map[string][]standin.Stock) {
	before := s.at(state)
	lines := maps.Clone(before)
	if lines == nil || len(lines) > mostAdaptorStock {
		lines, before = map[string][]standin.Stock{}, nil
	}
	for _, d := range dossiers {
		if d == nil {
			continue
		}
		for i := range d.Adaptors {
			part := d.Adaptors[i].PartNumber
			lines[part] = read[part]
		}
	}
	if before == nil || len(lines) > len(before) {
		s.held.Store(&stockAsOf{state, lines})
	}
}
