package standin

import (
	"context"
	"fmt"
	"time"
)

// HoldState is what became of a hold.
type HoldState string

// The states of a hold. Nothing is written when one runs out: that is seen by
// its time.
const (
	HoldHeld     HoldState = "held"
	HoldReleased HoldState = "released"
	HoldTaken    HoldState = "taken"
	HoldExpired  HoldState = "expired"
)

// HoldLimit is how far ahead a hold may last.
const HoldLimit = 366 * 24 * time.Hour

// NewHold is a hold to be made.
type NewHold struct {
	StockKey
	Quantity  int
	Until     time.Time
	For       string // whom
	Reference string // the caller's own, a job
	By        string
}

// Hold is stock kept for someone until a time.
type Hold struct {
	ID int64
	NewHold
	Created time.Time
	State   HoldState // as of when it was read
	Ended   time.Time // when it was released or taken; zero: it was not
}

// Check refuses a hold that cannot be, whatever is in stock.
func (h NewHold) Check() error {
	if err := h.StockKey.Check(""); err != nil {
		return err
	}
	if h.Quantity < 1 || h.Quantity > MaxQuantity {
		return badField("quantity", "the quantity is from 1 to %d, not %d", MaxQuantity, h.Quantity)
	}
	return nil
}

// CheckUntil refuses an end of a hold that is past, or too far off.
func CheckUntil(until, now time.Time) error {
	switch {
	case !until.After(now):
		return badField("until", "the hold would have run out already; it is %s", now.UTC().Format(time.RFC3339))
	case until.After(now.Add(HoldLimit)):
		return badField("until", "a hold lasts 366 days at most")
	}
	return nil
}

// StateAt is the state at a time, of a hold as it was written.
func (h Hold) StateAt(now time.Time) HoldState {
	if h.State == HoldHeld && !h.Until.After(now) {
		return HoldExpired
	}
	return h.State
}

// NotHeld is why something cannot be done with a hold that is none any more.
func (h Hold) NotHeld() error {
	return &Error{Code: CodeConflict, Field: "id", Message: fmt.Sprintf("hold %d holds nothing any more: it is %s", h.ID, h.State)}
}

// HoldFilter is which holds are listed; what is empty does not matter.
type HoldFilter struct {
	StockFilter
	State HoldState
}

// Holds is where stock is kept for someone. What is said of Stocks holds here.
type Holds interface {
	// Hold keeps stock. CodeNotFree where so much is not free; the Error's Stock
	// is then what else is free of the part.
	Hold(ctx context.Context, hold NewHold, once Once) (Hold, error)

	// HoldOf is one hold. CodeNotFound where there is none.
	HoldOf(ctx context.Context, id int64) (Hold, error)

	// ListHolds are the holds of a filter in the order they were made, from an id
	// (exclusive) on.
	ListHolds(ctx context.Context, filter HoldFilter, after int64, limit int) ([]Hold, error)

	// RenewHold has a hold end at another time. CodeConflict where it does not
	// hold any more.
	RenewHold(ctx context.Context, id int64, until time.Time, by string) (Hold, error)

	// ReleaseHold ends a hold; one that was released or has run out stays as it
	// is. CodeConflict where it was taken.
	ReleaseHold(ctx context.Context, id int64, by string) (Hold, error)

	// TakeHold sells what a hold holds: the hold is taken and the move made, both
	// or neither. CodeConflict where it does not hold any more, CodeNotFree where
	// the line is short.
	TakeHold(ctx context.Context, take TakenHold, once Once) (Hold, Move, error)
}

// TakenHold is a hold that is to be taken.
type TakenHold struct {
	ID        int64
	By        string
	Reason    string
	Reference string // of the sale; empty: that of the hold
}

// Shop is what happens in a workshop.
type Shop interface {
	Stocks
	Holds
	Fittings
	Feed
}
