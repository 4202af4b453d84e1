package api

import (
	"context"

	"standin"
	"standin/openapi/gen"
)

// GetFit answers for one machine.
func (h *handlers) GetFit(ctx context.Context, request gen.GetFitRequestObject) (gen.GetFitResponseObject, error) {
	p := request.Params
	plug, noPlug, err := standin.ParsePlug(deref(p.Plug))
	if err != nil {
		return nil, &standin.Error{Code: standin.CodeBadRequest, Message: err.Error(), Field: "plug"}
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
	return gen.GetFit200JSONResponse{Body: EncodeAnswer(results[0].Answer, deref(p.All))}, nil
}

// PostFits answers for many. What cannot be answered is a problem in its place.
func (h *handlers) PostFits(ctx context.Context, request gen.PostFitsRequestObject) (gen.PostFitsResponseObject, error) {
	results, err := h.ask(ctx, request.Body.Machines)
	if err != nil {
		return nil, err
	}
	all := deref(request.Body.All)
	return gen.PostFits200JSONResponse{Answers: list(results, func(r standin.Result) any {
		if r.Err != nil {
			return problemOf(r.Err)
		}
		return EncodeAnswer(r.Answer, all)
	})}, nil
}

// ask is the one way of a question: those machines that can be read are asked
// for together, and every result is in its machine's place.
func (h *handlers) ask(ctx context.Context, asked []gen.MachineAsked) ([]standin.Result, error) {
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
	if len(machines) == 0 {
		return results, nil
	}
	answered, err := standin.Ask(ctx, h.catalogue, machines)
	for i, r := range answered {
		results[places[i]] = r
	}
	return results, err
}
