package db

import (
	"maps"
	"sync"

	"standin"
)

// mostShared is about how many bytes of what models share are held for one version
// of the catalogue; at most two versions are held.
const mostShared = 128 << 20

// sharedCache holds what models share, by version of the catalogue: the newest
// seen and the one before, which a standby that lags may still show. It is safe
// for concurrent use.
type sharedCache struct {
	mu     sync.Mutex
	newest *shelf // nil: none yet
	before *shelf
}

// at returns what is held of a version, an empty shelf where nothing is, and nil for
// a version older than those held.
func (c *sharedCache) at(e edition) *shelf {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch {
	case c.newest == nil || e > c.newest.edition:
		c.newest, c.before = newShelf(e), c.newest
	case c.newest.edition == e:
	case c.before == nil || e > c.before.edition:
		c.before = newShelf(e)
	case c.before.edition != e:
		return nil
	}
	if c.newest.edition == e {
		return c.newest
	}
	return c.before
}

// shelf holds the pieces of one version in two generations: when lately is full it
// becomes before, and what was in before is dropped. assemble, beside and
// with are safe for concurrent use; the callers of the other methods must hold mu.
type shelf struct {
	edition  edition
	seatings *standin.Seatings

	mu     sync.Mutex
	lately *pieces
	before *pieces
	size   int // bytes of lately
}

// pieces are things that models share, by id.
type pieces struct {
	families       map[int64]*sharedFamily
	boards         map[int64]*sharedBoard // nil for a part that is no board
	pages          map[int64]struct{}     // of which every board is among them; see chooseNeighboursSQL
	leads          map[int64][]lead       // from a part
	layouts        map[int64]*standin.Layout
	usableAdaptors map[int64][]standin.Adaptor // that may be applied to a harness
	rules          map[int64]*standin.SerialRule
}

// sharedFamily is a family with its procedure and boards.
type sharedFamily struct {
	*standin.Family
	procedure *standin.Procedure // nil: none recorded
	boards    []int64            // by part number
}

// sharedBoard is a board with the procedures that its revisions have instead of
// the family's.
type sharedBoard struct {
	*board
	procedures []*standin.Procedure
}

func newPieces() *pieces {
	return &pieces{
		families:       map[int64]*sharedFamily{},
		boards:         map[int64]*sharedBoard{},
		pages:          map[int64]struct{}{},
		leads:          map[int64][]lead{},
		layouts:        map[int64]*standin.Layout{},
		usableAdaptors: map[int64][]standin.Adaptor{},
		rules:          map[int64]*standin.SerialRule{},
	}
}

func newShelf(e edition) *shelf {
	return &shelf{edition: e, seatings: standin.NewSeatings(), lately: newPieces(), before: newPieces()}
}

// beside returns the pieces held that need not be read once more: families, boards,
// layouts and which adaptors may be applied. A nil shelf holds none.
func (s *shelf) beside() *pieces {
	all := newPieces()
	if s == nil {
		return all
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, held := range []*pieces{s.before, s.lately} {
		maps.Copy(all.families, held.families)
		maps.Copy(all.boards, held.boards)
		maps.Copy(all.pages, held.pages)
		maps.Copy(all.layouts, held.layouts)
		maps.Copy(all.usableAdaptors, held.usableAdaptors)
	}
	return all
}

// with returns a shelf with what was read and what need not be, whatever s makes room
// for; s keeps what was read. A nil shelf keeps nothing.
func (s *shelf) with(read, beside *pieces) *shelf {
	all := &shelf{lately: read, before: beside}
	if s != nil {
		s.keep(read)
		all.seatings = s.seatings
	}
	return all
}

// take returns a thing from lately, or from before, in which case it adds it to
// lately.
func take[T any](s *shelf, lately, before map[int64]T, id int64, size func(T) int) (T, bool) {
	thing, ok := lately[id]
	if ok {
		return thing, true
	}
	if thing, ok = before[id]; ok {
		lately[id] = thing
		s.size += size(thing)
	}
	return thing, ok
}

func (s *shelf) family(id int64) (*sharedFamily, bool) {
	return take(s, s.lately.families, s.before.families, id, sizeOfFamily)
}

func (s *shelf) board(id int64) (*sharedBoard, bool) {
	return take(s, s.lately.boards, s.before.boards, id, sizeOfBoard)
}

func (s *shelf) leads(part int64) ([]lead, bool) {
	return take(s, s.lately.leads, s.before.leads, part, sizeOfLeads)
}

func (s *shelf) layout(id int64) (*standin.Layout, bool) {
	return take(s, s.lately.layouts, s.before.layouts, id, sizeOfLayout)
}

func (s *shelf) usableAdaptors(harness int64) ([]standin.Adaptor, bool) {
	return take(s, s.lately.usableAdaptors, s.before.usableAdaptors, harness, sizeOfAdaptors)
}

func (s *shelf) rule(id int64) (*standin.SerialRule, bool) {
	return take(s, s.lately.rules, s.before.rules, id, sizeOfRule)
}

// keep adds pieces that were read.
func (s *shelf) keep(p *pieces) {
	s.mu.Lock()
	defer s.mu.Unlock()
	add(s, s.lately.families, s.before.families, p.families, sizeOfFamily)
	add(s, s.lately.boards, s.before.boards, p.boards, sizeOfBoard)
	maps.Copy(s.lately.pages, p.pages) // their boards have come into lately with the line before
	add(s, s.lately.leads, s.before.leads, p.leads, sizeOfLeads)
	add(s, s.lately.layouts, s.before.layouts, p.layouts, sizeOfLayout)
	add(s, s.lately.usableAdaptors, s.before.usableAdaptors, p.usableAdaptors, sizeOfAdaptors)
	add(s, s.lately.rules, s.before.rules, p.rules, sizeOfRule)
	s.makeRoom()
}

func add[T any](s *shelf, lately, before, more map[int64]T, size func(T) int) {
	for id, thing := range more {
		if _, held := take(s, lately, before, id, size); !held {
			lately[id] = thing
			s.size += size(thing)
		}
	}
}

// makeRoom begins a new generation where lately is full.
func (s *shelf) makeRoom() {
	if s.size > mostShared/2 {
		s.lately, s.before, s.size = newPieces(), s.lately, 0
	}
}
