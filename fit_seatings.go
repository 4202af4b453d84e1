package standin

import "sync"

// mostSeatings is how many bytes of seatings are held, about: half of them used
// lately.
const mostSeatings = 32 << 20

// Seatings hold how harnesses get onto boards, so that the next question about the
// same pair need not decide it again. A store gives the same Seatings to dossiers
// of which a layout's name stands for the same connectors, and the same adaptors
// can be applied to it: those of one version of the catalogue. They are safe for
// concurrent use.
type Seatings struct {
	mu             sync.Mutex
	lately, before map[seatingKey]*seating
	size           int // bytes of lately
	chains         map[string]*chained
}

// seatingKey names two layouts.
type seatingKey struct{ harness, board string }

// mostChains is how many sets of adaptors are held, with what they may be joined to
// among themselves: of 200 adaptors some 150 kB.
const mostChains = 50

// NewSeatings returns Seatings that hold none yet.
func NewSeatings() *Seatings {
	return &Seatings{lately: map[seatingKey]*seating{}, chains: map[string]*chained{}}
}

// between returns the seating of a harness on a board, decided where it is not
// held. A nil Seatings holds nothing.
func (s *Seatings) between(harness, board *Layout, decide func(harness, board *Layout) *seating) *seating {
	if s == nil || harness == nil || board == nil {
		return decide(harness, board)
	}
	key := seatingKey{harness.Name, board.Name}
	if held := s.find(key); held != nil {
		return held
	}
	decided := decide(harness, board)
	s.hold(key, decided)
	return decided
}

func (s *Seatings) find(key seatingKey) *seating {
	s.mu.Lock()
	defer s.mu.Unlock()
	if held := s.lately[key]; held != nil {
		return held
	}
	held := s.before[key]
	if held != nil {
		s.add(key, held)
	}
	return held
}

func (s *Seatings) hold(key seatingKey, decided *seating) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.add(key, decided)
}

// add holds a seating as one used lately. Those that were not used lately make
// room where there are too many.
func (s *Seatings) add(key seatingKey, held *seating) {
	if s.size > mostSeatings/2 {
		s.lately, s.before, s.size = map[seatingKey]*seating{}, s.lately, 0
	}
	if s.lately[key] == nil { // two may have decided it at once
		s.size += held.bytes()
	}
	s.lately[key] = held
}

// chain returns adaptors, in order of part number, with what they may be joined to
// among themselves. A nil Seatings holds nothing.
func (s *Seatings) chain(adaptors []*Adaptor) *chained {
	if s == nil {
		return newChained(adaptors)
	}
	name := nameOf(adaptors)
	s.mu.Lock()
	held := s.chains[name]
	s.mu.Unlock()
	if held != nil {
		return held
	}
	held = newChained(adaptors)
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.chains) >= mostChains {
		clear(s.chains)
	}
	s.chains[name] = held
	return held
}

// bytes is about how much memory a seating takes.
func (s *seating) bytes() int {
	size := 256 + len(s.reason) + 32*(len(s.adaptors)+len(s.swappable))
	return size + 192*len(s.connections)
}
