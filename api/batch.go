package api

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"iter"
	"net/http"
	"time"

	"standin"
	"standin/openapi/gen"
)

// batch is the answer to many machines, sent as it is made: one answer is held
// encoded at a time.
type batch struct {
	h        *handlers
	ctx      context.Context
	machines []standin.Machine
	refused  []*standin.Error // by place; nil: the machine there is among machines
	encode   func(*standin.Answer) any
}

// newBatch decodes the machines of a batch. encode makes the JSON of an answer.
func (h *handlers) newBatch(ctx context.Context, asked []gen.MachineAsked, encode func(*standin.Answer) any) *batch {
	b := &batch{h: h, ctx: ctx, refused: make([]*standin.Error, len(asked)), encode: encode}
	for place, a := range asked {
		m, err := decodeMachine(a)
		if b.refused[place] = err; err == nil {
			b.machines = append(b.machines, m)
		}
	}
	return b
}

// VisitPostFitsResponse sends the answers.
func (b *batch) VisitPostFitsResponse(w http.ResponseWriter) error { return b.send(w) }

// VisitPostFitsInShortResponse sends the answers.
func (b *batch) VisitPostFitsInShortResponse(w http.ResponseWriter) error { return b.send(w) }

// send sends every answer, or a problem in its place. An error before the first is
// returned, and nothing is sent; one after it is the problem of every machine that
// is left. Where the client has gone, work ends.
func (b *batch) send(w http.ResponseWriter) error {
	if err := b.reached(); err != nil {
		return err
	}
	turn, err := b.h.batches.enter(b.ctx)
	if err != nil {
		return err
	}
	defer turn.leave()
	began, sent := time.Now(), 0
	out := bufio.NewWriter(w)
	put := func(element any) error {
		text, err := json.Marshal(element)
		if err != nil {
			return err
		}
		separator := ","
		if sent == 0 {
			w.Header().Set("Content-Type", "application/json")
			w.WriteHeader(http.StatusOK)
			separator = `{"answers":[`
		}
		sent++
		return turn.lend(func() error {
			_, _ = out.WriteString(separator) // its error stays with out
			_, err := out.Write(text)
			return err
		})
	}
	for result, err := range b.results() {
		if err == nil {
			err = put(b.element(result))
		} else if sent > 0 && b.ctx.Err() == nil {
			err = putAll(put, len(b.refused)-sent, problemElement(err))
		}
		if err != nil {
			return err
		}
	}
	b.h.metrics.took("many", time.Since(began))
	if _, err := io.WriteString(out, "]}\n"); err != nil {
		return err
	}
	return out.Flush()
}

func putAll(put func(any) error, times int, element any) error {
	for range times {
		if err := put(element); err != nil {
			return err
		}
	}
	return nil
}

// reached returns an error where the store does not answer at all in the time of
// one question: the batch itself may take longer. Where there is nothing to ask for,
// the store is left alone.
func (b *batch) reached() error {
	if len(b.machines) == 0 {
		return nil
	}
	ctx, cancel := context.WithTimeout(b.ctx, b.h.questionTime)
	defer cancel()
	_, err := b.h.catalogue.State(ctx)
	return err
}

// results are those of all machines in the order asked, the refused ones among
// them.
func (b *batch) results() iter.Seq2[standin.Result, error] {
	return func(yield func(standin.Result, error) bool) {
		place := 0
		refusedYielded := func() bool {
			for ; place < len(b.refused) && b.refused[place] != nil; place++ {
				if !yield(standin.Result{Err: b.refused[place]}, nil) {
					return false
				}
			}
			return true
		}
		if len(b.machines) > 0 { // else the store is left alone
			for result, err := range standin.AskEach(b.ctx, b.h.catalogue, b.machines) {
				if err != nil {
					yield(result, err)
					return
				}
				if !refusedYielded() || !yield(result, nil) {
					return
				}
				place++
			}
		}
		refusedYielded()
	}
}

// element is what stands in the place of a machine.
func (b *batch) element(r standin.Result) any {
	b.h.metrics.outcome(r)
	if r.Err == nil {
		return b.encode(r.Answer)
	}
	return problemElement(r.Err)
}

func problemElement(err error) gen.Problem {
	p, kind := problemOf(err), gen.ProblemKindProblem
	p.Kind = &kind
	return p
}
