package api

import (
	"context"
	"runtime"
	"time"

	"standin/openapi/gen"
)

const (
	// mostBatches is how many batches are answered at once. Each holds what is
	// recorded of its machines, some megabytes.
	mostBatches = 4

	// batchWait is how long a batch waits for one before it to end.
	batchWait = 5 * time.Second
)

// batches bounds what batches may have of the machine, so that single questions
// stay quick beside them. It is safe for concurrent use.
type batches struct {
	places chan struct{} // one per batch that is under way
	turns  chan struct{} // one per batch that is being worked on: a processor is left to others
}

func newBatches() *batches {
	return &batches{
		places: make(chan struct{}, mostBatches),
		turns:  make(chan struct{}, max(1, runtime.GOMAXPROCS(0)-1)),
	}
}

// enter waits for a place. Where there is none for a while, the batch is refused.
func (b *batches) enter(ctx context.Context) (*turn, error) {
	wait := time.NewTimer(batchWait)
	defer wait.Stop()
	select {
	case b.places <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-wait.C:
		return nil, &refusal{gen.ProblemTypeBusy, "Other questions of many machines are being answered; ask again in a while, or for one machine at a time.", ""}
	}
	lean.begin()
	b.turns <- struct{}{}
	return &turn{b}, nil
}

// turn is the right of a batch to be worked on.
type turn struct{ of *batches }

// lend lets other batches have their turn while something is sent, however slowly
// the client reads.
func (t *turn) lend(send func() error) error {
	<-t.of.turns
	defer func() { t.of.turns <- struct{}{} }()
	return send()
}

func (t *turn) leave() {
	<-t.of.turns
	lean.end()
	<-t.of.places
}
