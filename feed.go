package standin

import (
	"context"
	"encoding/json"
	"time"
)

// The kinds of what changes beside the files of a bundle. Stock is a file too.
const (
	KindHolds    = "holds"
	KindFittings = "fittings"
)

// MaxWait is how long AwaitFeed waits at most.
const MaxWait = time.Minute

// FeedPosition is a place in the feed. The zero position is before all.
type FeedPosition struct {
	Version int64 // of the transaction
	Seq     int   // within it
}

// FeedRow is one thing that was added, changed or removed: a row of a file of a
// bundle, a hold or a fitting. Applied in order, keyed by Kind and Key, they make
// a copy. A hold that runs out is no row: it says itself until when it holds.
type FeedRow struct {
	FeedPosition
	At     time.Time
	By     string
	Import int64  // that did it; 0: none
	Kind   string // a file of a bundle (without its ending), KindHolds or KindFittings
	Key    json.RawMessage
	Before json.RawMessage // nil: it was not there
	After  json.RawMessage // nil: it is not there any more
}

// Feed is everything that changed, in the order in which it was committed. Its
// methods are safe for concurrent use; every error is an *Error.
type Feed interface {
	// ReadFeed is what changed after a position, limit rows at most. Whoever goes
	// on from the last row misses nothing, however long a transaction took.
	// CodeBadRequest where the position is not of this feed.
	ReadFeed(ctx context.Context, after FeedPosition, limit int) ([]FeedRow, error)

	// AwaitFeed returns when something has changed after a position, or so much
	// time has passed, or the context is at its end, which is no error.
	AwaitFeed(ctx context.Context, after FeedPosition, wait time.Duration) error
}
