package standin

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"
)

// The codes of errors about stock and holds.
const (
	CodeNotFree      Code = "not-free"     // so many pieces are not free; Stock has what else is
	CodePrecondition Code = "precondition" // it is not as the caller believes it to be
	CodeKeyReused    Code = "key-reused"   // the idempotency key stands for another request
)

// MaxQuantity is the most pieces that a stock line has and that one call moves.
const MaxQuantity = 1_000_000

// Conditions are those stock can be in, best first.
var Conditions = []string{"new", "refurbished", "used"}

// StockKey names a stock line. Revision is empty where it is not known.
type StockKey struct {
	Location, PartNumber, Revision, Condition string
}

// Compare orders lines as they are listed.
func (k StockKey) Compare(other StockKey) int {
	return cmp.Or(cmp.Compare(k.Location, other.Location), cmp.Compare(k.PartNumber, other.PartNumber),
		cmp.Compare(k.Revision, other.Revision), cmp.Compare(k.Condition, other.Condition))
}

// String names the line in a sentence.
func (k StockKey) String() string {
	revision := "of unknown revision"
	if k.Revision != "" {
		revision = "revision " + k.Revision
	}
	return fmt.Sprintf("%s %s, %s, at %s", k.PartNumber, revision, k.Condition, k.Location)
}

// Check refuses a line that cannot be; Field is prefix and the name of the part.
func (k StockKey) Check(prefix string) error {
	switch {
	case k.Location == "":
		return badField(prefix+"location", "the location is empty; give the one that the stock is at")
	case k.PartNumber == "":
		return badField(prefix+"part_number", "the part number is empty")
	case !slices.Contains(Conditions, k.Condition):
		return badField(prefix+"condition", "the condition is new, refurbished or used, not %q", k.Condition)
	}
	return nil
}

// StockRecord is one stock line. A count, an import among them, may find fewer
// pieces than are on hold: the line is then short.
type StockRecord struct {
	StockKey
	Kind     string // of the part: board or adaptor
	Quantity int
	Held     int    // by holds that have not run out
	Tag      string // changes with Quantity and Held
}

// Free is how many pieces can be held or sold.
func (r StockRecord) Free() int { return max(0, r.Quantity-r.Held) }

// Short is how many pieces on hold are not there.
func (r StockRecord) Short() int { return max(0, r.Held-r.Quantity) }

// MoveKind is what happened to a stock line.
type MoveKind string

// The kinds of moves.
const (
	MoveReceived MoveKind = "received" // came in
	MoveSold     MoveKind = "sold"     // went out, from a hold where the move names one
	MoveMoved    MoveKind = "moved"    // to another location
	MoveCounted  MoveKind = "counted"  // there are so many
)

// MoveKinds are all kinds of moves.
var MoveKinds = []MoveKind{MoveReceived, MoveSold, MoveMoved, MoveCounted}

// NewMove is a move to be made.
type NewMove struct {
	StockKey
	Kind      MoveKind
	To        string // the other location, for MoveMoved
	Quantity  int    // how many move; for MoveCounted how many there are
	By        string // who, for the record
	Reason    string
	Reference string // the caller's own, a job or an order
}

// Move is a move that was made. It is kept for good.
type Move struct {
	ID int64
	At time.Time
	NewMove
	Before, After     int   // of the line
	ToBefore, ToAfter int   // of the line at To, for MoveMoved
	Hold              int64 // the hold that was taken; 0: none
}

// Check refuses a move that cannot be, whatever is in stock.
func (m NewMove) Check() error {
	if err := m.StockKey.Check(""); err != nil {
		return err
	}
	least := 1
	if m.Kind == MoveCounted {
		least = 0
	}
	switch {
	case !slices.Contains(MoveKinds, m.Kind):
		return badField("kind", "the kind of a move is received, sold, moved or counted, not %q", m.Kind)
	case m.Quantity < least || m.Quantity > MaxQuantity:
		return badField("quantity", "the quantity is from %d to %d, not %d", least, MaxQuantity, m.Quantity)
	case m.Kind == MoveMoved && m.To == "":
		return badField("to", "say to which location it is moved")
	case m.Kind == MoveMoved && m.To == m.Location:
		return badField("to", "it is at %s already; name another location", m.To)
	case m.Kind != MoveMoved && m.To != "":
		return badField("to", "only what is moved goes to another location")
	}
	return nil
}

// Arrival is the line that what is moved arrives in.
func (m NewMove) Arrival() StockKey {
	k := m.StockKey
	k.Location = m.To
	return k
}

// After is what a move makes of a line. What leaves must be free: pieces on hold
// leave by their hold. A count is believed, whatever is on hold.
func (m NewMove) After(line StockRecord) (int, error) {
	after := line.Quantity
	switch m.Kind {
	case MoveReceived:
		after += m.Quantity
	case MoveCounted:
		after = m.Quantity
	case MoveSold, MoveMoved:
		if line.Free() < m.Quantity {
			return 0, NotFree(line, m.Quantity)
		}
		after -= m.Quantity
	}
	if after > MaxQuantity {
		return 0, &Error{Code: CodeRejected, Field: "quantity", Message: fmt.Sprintf(
			"%s would have %d pieces; a line has at most %d", m.StockKey, after, MaxQuantity)}
	}
	return after, nil
}

// NotFree is why so many pieces of a line cannot be had.
func NotFree(line StockRecord, wanted int) *Error {
	message := fmt.Sprintf("%d wanted, %d free: %s has %d", wanted, line.Free(), line.StockKey, line.Quantity)
	if line.Held > 0 {
		message += fmt.Sprintf(", of which %d are on hold", line.Held)
	}
	return &Error{Code: CodeNotFree, Field: "quantity", Message: message}
}

func badField(field, format string, args ...any) error {
	return &Error{Code: CodeBadRequest, Field: field, Message: fmt.Sprintf(format, args...)}
}

// StockFilter is which lines or moves are listed; what is empty does not matter.
type StockFilter struct {
	Location, PartNumber string
}

// StockPut says how many pieces a line has.
type StockPut struct {
	StockKey
	Quantity  int
	Match     string // the Tag that the line must have; empty: any, or none
	Absent    bool   // the line must not be there
	By        string
	Reason    string
	Reference string
}

// Count is how many pieces of a part are at the location that is counted.
type Count struct {
	PartNumber, Revision, Condition string
	Quantity                        int
}

// At is the line that is counted.
func (c Count) At(location string) StockKey {
	return StockKey{location, c.PartNumber, c.Revision, c.Condition}
}

// LocationPut says all that is at a location. Lines that are not named have
// nothing.
type LocationPut struct {
	Location    string
	Counts      []Count
	SkipUnknown bool // leave out parts and revisions that are not in the catalogue; else they are refused
	By          string
	Reason      string
	Reference   string
}

// MaxCounts is the most lines that one LocationPut has.
const MaxCounts = 20_000

// Check refuses a put that cannot be; Field is a place in the body of a request.
func (p LocationPut) Check() error {
	if p.Location == "" {
		return badField("location", "the location is empty")
	}
	if len(p.Counts) > MaxCounts {
		return badField("/lines", "%d lines are more than the %d of one call", len(p.Counts), MaxCounts)
	}
	seen := make(map[StockKey]int, len(p.Counts))
	for i, c := range p.Counts {
		key := c.At(p.Location)
		if err := key.Check(fmt.Sprintf("/lines/%d/", i)); err != nil {
			return err
		}
		if c.Quantity < 0 || c.Quantity > MaxQuantity {
			return badField(fmt.Sprintf("/lines/%d/quantity", i), "the quantity is from 0 to %d, not %d", MaxQuantity, c.Quantity)
		}
		if first, twice := seen[key]; twice {
			return badField(fmt.Sprintf("/lines/%d", i), "%s is line %d already; give each line once", key, first)
		}
		seen[key] = i
	}
	return nil
}

// LocationCounted is what came of a LocationPut.
type LocationCounted struct {
	Added, Changed, Unchanged int
	Unknown                   []StockKey    // left out, in the order of Counts
	Short                     []StockRecord // lines that have fewer pieces than are on hold
}

// Once makes a creating call happen once. The zero Once is no promise.
type Once struct {
	Token   int64    // whose key it is
	Key     string   // chosen by the caller; empty: the call happens as often as it is made
	Request [32]byte // a hash of what is asked
}

// OnceKept is how long a key is remembered.
const OnceKept = 24 * time.Hour

// Stocks is where stock is kept. Its methods are safe for concurrent use. Every
// error is an *Error: CodeBadRequest as the Check methods say, CodeNotFound where
// a part or revision is not in the catalogue, CodeUnavailable where the database
// is away. Calls with a Once answer the same key and request as they did the
// first time, for OnceKept, and a key with another request with CodeKeyReused.
type Stocks interface {
	// ListStock are the lines of a filter in the order of their keys, from after
	// (exclusive) on.
	ListStock(ctx context.Context, filter StockFilter, after StockKey, limit int) ([]StockRecord, error)

	// StockOf is one line. CodeNotFound where there is none.
	StockOf(ctx context.Context, key StockKey) (StockRecord, error)

	// MoveStock makes a move and keeps it. CodeNotFree where so much is not free.
	MoveStock(ctx context.Context, move NewMove, once Once) (Move, error)

	// PutStock sets what a line has, kept as a count where that is another number.
	// It reports whether the line is new. CodePrecondition where the line is not
	// as the put says it must be.
	PutStock(ctx context.Context, put StockPut) (line StockRecord, created bool, err error)

	// PutLocation sets what a location has, all of it or, with an error, nothing.
	PutLocation(ctx context.Context, put LocationPut) (LocationCounted, error)

	// ListMoves are the moves from or to what a filter says, in the order they
	// were made, from an id (exclusive) on.
	ListMoves(ctx context.Context, filter StockFilter, after int64, limit int) ([]Move, error)
}
