package api

import (
	"context"
	"time"

	"standin"
	"standin/openapi/gen"
)

// GetFit answers for one machine.
func (h *handlers) GetFit(ctx context.Context, request gen.GetFitRequestObject) (gen.GetFitResponseObject, error) {
	answer, err := h.askOne(ctx, request.Params)
	if err != nil {
		return nil, err
	}
	return gen.GetFit200JSONResponse{Body: EncodeAnswer(answer, deref(request.Params.All))}, nil
}

// GetFitInShort is GetFit without reasons.
func (h *handlers) GetFitInShort(ctx context.Context, request gen.GetFitInShortRequestObject) (gen.GetFitInShortResponseObject, error) {
	answer, err := h.askOne(ctx, gen.GetFitParams(request.Params))
	if err != nil {
		return nil, err
	}
	return gen.GetFitInShort200JSONResponse{Body: encodeShort(answer, deref(request.Params.All))}, nil
}

// PostFits answers for many. What cannot be answered is a problem in its place.
func (h *handlers) PostFits(ctx context.Context, request gen.PostFitsRequestObject) (gen.PostFitsResponseObject, error) {
	all, kind := deref(request.Body.All), gen.AnswerKindAnswer
	return h.newBatch(ctx, request.Body.Machines, func(a *standin.Answer) any {
		encoded := EncodeAnswer(a, all)
		encoded.Kind = &kind
		return encoded
	}), nil
}

// PostFitsInShort is PostFits without reasons.
func (h *handlers) PostFitsInShort(ctx context.Context, request gen.PostFitsInShortRequestObject) (gen.PostFitsInShortResponseObject, error) {
	all, kind := deref(request.Body.All), gen.ShortAnswerKindAnswer
	return h.newBatch(ctx, request.Body.Machines, func(a *standin.Answer) any {
		encoded := encodeShort(a, all)
		encoded.Kind = &kind
		return encoded
	}), nil
}

// askOne answers for the machine of a query.
func (h *handlers) askOne(ctx context.Context, p gen.GetFitParams) (*standin.Answer, error) {
	plug, noPlug, err := standin.ParsePlug(deref(p.Plug))
	if err != nil {
		return nil, badField("plug", "%v", err)
	}
	m, refused := decodeMachine(gen.MachineAsked{
		Brand: p.Brand, Model: p.Model, Variant: p.Variant,
		Made: p.Made, Serial: p.Serial, Plug: &plug, NoPlug: &noPlug,
		OldPart: p.OldPart, Position: p.Position, Location: p.Location,
	})
	if refused != nil {
		h.metrics.outcome(standin.Result{Err: refused})
		return nil, refused
	}
	began := time.Now()
	results, err := standin.Ask(ctx, h.catalogue, []standin.Machine{m})
	if err != nil {
		return nil, err
	}
	h.metrics.answered(results[0], time.Since(began))
	if results[0].Err != nil {
		return nil, results[0].Err
	}
	noteMadeIn(ctx, results[0].Answer)
	return results[0].Answer, nil
}
