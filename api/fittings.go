package api

import (
	"cmp"
	"context"
	"fmt"
	"strconv"

	"standin"
	"standin/openapi/gen"
)

// ListFittings is one page of fittings.
func (h *handlers) ListFittings(ctx context.Context, request gen.ListFittingsRequestObject) (gen.ListFittingsResponseObject, error) {
	p := request.Params
	after, err := decodeID(p.After)
	if err != nil {
		return nil, err
	}
	filter := standin.FittingFilter{
		Model:      standin.ModelKey{Brand: deref(p.Brand), Model: deref(p.Model), Variant: deref(p.Variant)},
		PartNumber: deref(p.PartNumber), Outcome: standin.FittingOutcome(deref(p.Outcome)),
	}
	if (filter.Model.Brand == "") != (filter.Model.Model == "") || filter.Model.Variant != "" && filter.Model.Brand == "" {
		return nil, badField("model", "brand and model are given together, variant with them")
	}
	limit := cmp.Or(deref(p.Limit), defaultLimit)
	fittings, err := h.shop.ListFittings(ctx, filter, after, limit+1)
	if err != nil {
		return nil, err
	}
	fittings, last, more := page(fittings, limit)
	answer := gen.ListFittings200JSONResponse{Body: gen.Fittings{Fittings: list(fittings, encodeFitting)}}
	if more {
		answer.Headers.Link = h.nextOf("/v1/fittings", standin.StockFilter{PartNumber: filter.PartNumber}, limit, map[string]string{
			"brand": filter.Model.Brand, "model": filter.Model.Model, "variant": filter.Model.Variant, "outcome": string(filter.Outcome),
		}, strconv.FormatInt(last.ID, 10))
	}
	return answer, nil
}

// GetFitting returns one fitting.
func (h *handlers) GetFitting(ctx context.Context, request gen.GetFittingRequestObject) (gen.GetFittingResponseObject, error) {
	fitting, err := h.shop.FittingOf(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	return gen.GetFitting200JSONResponse{Body: encodeFitting(fitting)}, nil
}

// AddFitting records that a board was fitted.
func (h *handlers) AddFitting(ctx context.Context, request gen.AddFittingRequestObject) (gen.AddFittingResponseObject, error) {
	b := request.Body
	promise, err := once(ctx, request.Params.IdempotencyKey, "addFitting", b)
	if err != nil {
		return nil, err
	}
	if err := checkTexts(b); err != nil {
		return nil, err
	}
	machine, wrong := decodeMachine(gen.MachineAsked{
		Brand: b.Brand, Model: b.Model, Variant: b.Variant, Made: b.Made, Serial: b.Serial, Plug: b.Plug, OldPart: b.OldPart,
	})
	if wrong != nil {
		return nil, wrong
	}
	fitting, err := standin.RecordFitting(ctx, h.catalogue, h.shop, standin.NewFitting{
		Machine: machine, Build: deref(b.Build), PartNumber: b.PartNumber, Revision: deref(b.Revision), BoardSerial: deref(b.BoardSerial),
		Code: deref(b.Code), Reading: deref(b.Reading), Reference: deref(b.Reference), By: bearer(ctx).Name,
		FittingResult: standin.FittingResult{Outcome: standin.FittingOutcome(b.Outcome), Cause: deref(b.Cause), Note: deref(b.Note)},
	}, promise)
	if err != nil {
		return nil, err
	}
	at := fmt.Sprintf("/v1/fittings/%d", fitting.ID)
	return gen.AddFitting201JSONResponse{Body: encodeFitting(fitting), Headers: gen.AddFitting201ResponseHeaders{Location: &at}}, nil
}

// SetFittingResult records what became of a fitting.
func (h *handlers) SetFittingResult(ctx context.Context, request gen.SetFittingResultRequestObject) (gen.SetFittingResultResponseObject, error) {
	if err := checkTexts(request.Body); err != nil {
		return nil, err
	}
	fitting, err := h.shop.SetResult(ctx, request.ID, standin.FittingResult{
		Outcome: standin.FittingOutcome(request.Body.Outcome), Cause: deref(request.Body.Cause), Note: deref(request.Body.Note),
	}, bearer(ctx).Name)
	if err != nil {
		return nil, err
	}
	return gen.SetFittingResult200JSONResponse(encodeFitting(fitting)), nil
}

func encodeFitting(f standin.Fitting) gen.Fitting {
	m := f.Machine
	return gen.Fitting{
		Fitting: f.ID, At: f.At, By: f.By, Brand: m.Brand, Model: m.Model, Variant: m.Variant, Made: m.Made.Text, Serial: m.Serial,
		Plug: list(m.Plug, same), OldPart: m.OldPart, Build: f.Build, PartNumber: f.PartNumber, Revision: f.Revision, BoardSerial: f.BoardSerial,
		Family: f.Family, Code: texts(f.Code), Pattern: gen.Pattern(f.Pattern), Reading: f.Reading, Tally: gen.FittingTally(f.Tally),
		Outcome: gen.FittingOutcome(f.Outcome), Cause: f.Cause, Note: f.Note, Reference: f.Reference,
	}
}

// countsSource says where counts of fittings come from.
const countsSource = "fittings recorded here"

func encodeCounts(n *standin.FittingCounts) *gen.FittingCounts {
	return &gen.FittingCounts{
		Works: n.Works, FailedAtOnce: n.FailedAtOnce, FailedWithinDays: n.FailedWithinDays, Returned: n.Returned, FoundWrong: n.FoundWrong,
		Tallied: n.Tallied, DidNotTally: n.DidNotTally, Source: countsSource,
	}
}
