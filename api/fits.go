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
	answers, err := h.askMany(ctx, request.Body.Machines, func(a *standin.Answer) any {
		encoded := EncodeAnswer(a, all)
		encoded.Kind = &kind
		return encoded
	})
	return gen.PostFits200JSONResponse{Answers: answers}, err
}

// PostFitsInShort is PostFits without reasons.
func (h *handlers) PostFitsInShort(ctx context.Context, request gen.PostFitsInShortRequestObject) (gen.PostFitsInShortResponseObject, error) {
	all, kind := deref(request.Body.All), gen.ShortAnswerKindAnswer
	answers, err := h.askMany(ctx, request.Body.Machines, func(a *standin.Answer) any {
		encoded := encodeShort(a, all)
		encoded.Kind = &kind
		return encoded
	})
	return gen.PostFitsInShort200JSONResponse{Answers: answers}, err
}

// askOne answers for the machine of a query.
func (h *handlers) askOne(ctx context.Context, p gen.GetFitParams) (*standin.Answer, error) {
	plug, noPlug, err := standin.ParsePlug(deref(p.Plug))
	if err != nil {
		return nil, badField("plug", "%v", err)
	}
	results, err := h.ask(ctx, []gen.MachineAsked{{
		Brand: p.Brand, Model: p.Model, Variant: p.Variant,
		Made: p.Made, Serial: p.Serial, Plug: &plug, NoPlug: &noPlug,
		OldPart: p.OldPart, Position: p.Position, Location: p.Location,
	}})
	if err != nil {
		return nil, err
	}
	if results[0].Err != nil {
		return nil, results[0].Err
	}
	noteMadeIn(ctx, results[0].Answer)
	return results[0].Answer, nil
}

// askMany answers for machines, each with its answer encoded or a problem.
func (h *handlers) askMany(ctx context.Context, asked []gen.MachineAsked, encode func(*standin.Answer) any) ([]any, error) {
	results, err := h.ask(ctx, asked)
	if err != nil {
		return nil, err
	}
	kind := gen.ProblemKindProblem
	return list(results, func(r standin.Result) any {
		if r.Err != nil {
			p := problemOf(r.Err)
			p.Kind = &kind
			return p
		}
		return encode(r.Answer)
	}), nil
}

// ask is the one way of a question: those machines that can be read are asked
// for together, and every result is in its machine's place.
func (h *handlers) ask(ctx context.Context, asked []gen.MachineAsked) ([]standin.Result, error) {
	began := time.Now()
	results := make([]standin.Result, len(asked))
	var machines []standin.Machine
	var places []int
	for i, a := range asked {
		m, err := decodeMachine(a)
		if err != nil {
			results[i].Err = err
			continue
		}
		machines, places = append(machines, m), append(places, i)
	}
	if len(machines) > 0 {
		answered, err := standin.Ask(ctx, h.catalogue, machines)
		if err != nil {
			return nil, err
		}
		for i, r := range answered {
			results[places[i]] = r
		}
	}
	h.metrics.answered(results, time.Since(began))
	return results, nil
}
