package standin

import (
	"context"
	"fmt"
	"strconv"
	"strings"
)

// Replicated is a Catalogue that is kept on several servers, of which some may be
// behind. It answers nobody from before what this program has been told, and, where
// a context says what its client has seen (WithSeen), not from before that either.
type Replicated interface {
	// Seen is the newest state that anything was answered from or written in; zero
	// where there is one server alone.
	Seen() State
}

// Before reports whether something is lacking in s that is in other. When a hold
// ran out does not count: every server finds that out by its clock.
func (s State) Before(other State) bool {
	return s.Catalogue < other.Catalogue || s.Stock < other.Stock
}

// Newest has whatever is in s or in other.
func (s State) Newest(other State) State {
	return State{Catalogue: max(s.Catalogue, other.Catalogue), Stock: max(s.Stock, other.Stock)}
}

// SeenText is a state as clients carry it from one service to another.
func (s State) SeenText() string { return fmt.Sprintf("%d.%d", s.Catalogue, s.Stock) }

// ParseSeen reads what SeenText wrote.
func ParseSeen(text string) (s State, ok bool) {
	catalogue, stock, ok := strings.Cut(text, ".")
	if !ok {
		return State{}, false
	}
	var err error
	if s.Catalogue, err = strconv.ParseInt(catalogue, 10, 64); err != nil || s.Catalogue < 0 {
		return State{}, false
	}
	if s.Stock, err = strconv.ParseInt(stock, 10, 64); err != nil || s.Stock < 0 {
		return State{}, false
	}
	return s, true
}

type seenKey struct{}

// WithSeen says that whoever asks has seen a state.
func WithSeen(ctx context.Context, s State) context.Context {
	return context.WithValue(ctx, seenKey{}, s)
}

// SeenIn is the state that whoever asks has seen, zero where nothing is said of it.
func SeenIn(ctx context.Context) State {
	s, _ := ctx.Value(seenKey{}).(State)
	return s
}
