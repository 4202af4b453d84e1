package shop_test

import (
	"slices"
	"time"

	"standin"
)

// model is a shop in memory: the rules once more, as plainly as can be, to hold
// the store against. Holds and moves are numbered in the order they are made; now
// is the time that has passed since the beginning.
type model struct {
	now      time.Duration
	lines    map[standin.StockKey]int
	holds    []modelHold
	moves    []standin.Move
	outcomes []standin.FittingOutcome // of fittings
}

type modelHold struct {
	key      standin.StockKey
	quantity int
	until    time.Duration
	ended    standin.HoldState // empty: neither released nor taken
}

func newModel() *model { return &model{lines: map[standin.StockKey]int{}} }

func (m *model) state(h modelHold) standin.HoldState {
	switch {
	case h.ended != "":
		return h.ended
	case m.now >= h.until:
		return standin.HoldExpired
	}
	return standin.HoldHeld
}

func (m *model) held(key standin.StockKey) (n int) {
	for _, h := range m.holds {
		if h.key == key && m.state(h) == standin.HoldHeld {
			n += h.quantity
		}
	}
	return n
}

func (m *model) free(key standin.StockKey) int { return max(0, m.lines[key]-m.held(key)) }

// elsewhere are the other lines of a part that have a free piece.
func (m *model) elsewhere(key standin.StockKey) (others []standin.StockKey) {
	for other := range m.lines {
		if other != key && other.PartNumber == key.PartNumber && m.free(other) > 0 {
			others = append(others, other)
		}
	}
	slices.SortFunc(others, standin.StockKey.Compare)
	return others
}

func (m *model) move(w standin.NewMove) standin.Code {
	leaves := w.Kind == standin.MoveSold || w.Kind == standin.MoveMoved
	if leaves && m.free(w.StockKey) < w.Quantity {
		return standin.CodeNotFree
	}
	made := standin.Move{NewMove: w, Before: m.lines[w.StockKey]}
	switch w.Kind {
	case standin.MoveReceived:
		m.lines[w.StockKey] += w.Quantity
	case standin.MoveCounted:
		m.lines[w.StockKey] = w.Quantity
	default:
		m.lines[w.StockKey] -= w.Quantity
	}
	made.After = m.lines[w.StockKey]
	if w.Kind == standin.MoveMoved {
		arrival := w.StockKey
		arrival.Location = w.To
		made.ToBefore = m.lines[arrival]
		m.lines[arrival] += w.Quantity
		made.ToAfter = m.lines[arrival]
	}
	m.moves = append(m.moves, made)
	return ""
}

func (m *model) put(key standin.StockKey, quantity int) {
	if before, there := m.lines[key]; !there || before != quantity {
		m.move(standin.NewMove{StockKey: key, Kind: standin.MoveCounted, Quantity: quantity})
	}
}

func (m *model) hold(key standin.StockKey, quantity int, lasts time.Duration) standin.Code {
	if m.free(key) < quantity {
		return standin.CodeNotFree
	}
	m.holds = append(m.holds, modelHold{key: key, quantity: quantity, until: m.now + lasts})
	return ""
}

func (m *model) renew(i int, lasts time.Duration) standin.Code {
	if m.state(m.holds[i]) != standin.HoldHeld {
		return standin.CodeConflict
	}
	m.holds[i].until = m.now + lasts
	return ""
}

func (m *model) release(i int) standin.Code {
	switch m.state(m.holds[i]) {
	case standin.HoldTaken:
		return standin.CodeConflict
	case standin.HoldHeld:
		m.holds[i].ended = standin.HoldReleased
	}
	return ""
}

func (m *model) take(i int) standin.Code {
	h := &m.holds[i]
	if m.state(*h) != standin.HoldHeld {
		return standin.CodeConflict
	}
	if m.lines[h.key] < h.quantity {
		return standin.CodeNotFree
	}
	h.ended = standin.HoldTaken
	m.lines[h.key] -= h.quantity
	m.moves = append(m.moves, standin.Move{
		NewMove: standin.NewMove{StockKey: h.key, Kind: standin.MoveSold, Quantity: h.quantity},
		Before:  m.lines[h.key] + h.quantity, After: m.lines[h.key], Hold: int64(i + 1),
	})
	return ""
}
