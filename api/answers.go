package api

import (
	linked "container/list"
	"context"
	"slices"
	"sync"

	"standin"
)

// mostAnswers is how many bytes of encoded answers are held, about.
const mostAnswers = 32 << 20

// answers holds encoded answers for as long as the catalogue and the stock stay
// as they were, those asked for last. It is safe for concurrent use.
type answers struct {
	mu    sync.Mutex
	state standin.State // of all that is held
	at    map[string]*linked.Element
	used  *linked.List // of *heldAnswer, the last used first
	size  int
}

// heldAnswer is the answer to one address.
type heldAnswer struct {
	address string
	tag     string
	plain   []byte
	zipped  []byte // nil: nobody has asked for it yet
}

func (a *heldAnswer) size() int { return 256 + len(a.address) + len(a.plain) + len(a.zipped) }

func newAnswers() *answers {
	return &answers{at: map[string]*linked.Element{}, used: linked.New()}
}

// find is what is held for an address, and the state it holds in; nil where
// nothing is.
func (a *answers) find(address string) (*heldAnswer, standin.State) {
	a.mu.Lock()
	defer a.mu.Unlock()
	e := a.at[address]
	if e == nil {
		return nil, a.state
	}
	a.used.MoveToFront(e)
	return e.Value.(*heldAnswer), a.state
}

// hold holds an answer that was made in a state. What is of an older state is
// dropped, and what was used least recently where there is too much.
func (a *answers) hold(state standin.State, answer *heldAnswer) {
	a.mu.Lock()
	defer a.mu.Unlock()
	switch {
	case answer.size() > mostAnswers/8 || older(state, a.state):
		return
	case state != a.state:
		a.state, a.at, a.used, a.size = state, map[string]*linked.Element{}, linked.New(), 0
	case a.at[answer.address] != nil:
		a.drop(a.at[answer.address])
	}
	a.at[answer.address] = a.used.PushFront(answer)
	for a.size += answer.size(); a.size > mostAnswers; {
		a.drop(a.used.Back())
	}
}

func (a *answers) drop(e *linked.Element) {
	gone := a.used.Remove(e).(*heldAnswer)
	delete(a.at, gone.address)
	a.size -= gone.size()
}

// older reports whether a state is one from before another.
func older(s, than standin.State) bool {
	return slices.Compare([]int64{s.Catalogue, s.Stock, s.RanOut}, []int64{than.Catalogue, than.Stock, than.RanOut}) < 0
}

// madeIn is where a handler notes the state that its answer was made in, so that
// the answer may be held.
type madeIn struct {
	state standin.State
	noted bool
}

type madeInKey struct{}

func noteMadeIn(ctx context.Context, a *standin.Answer) {
	if m, ok := ctx.Value(madeInKey{}).(*madeIn); ok {
		m.state, m.noted = a.State, true
	}
}
