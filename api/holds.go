package api

import (
	"cmp"
	"context"
	"fmt"
	"strconv"

	"standin"
	"standin/openapi/gen"
)

// ListHolds is one page of holds.
func (h *handlers) ListHolds(ctx context.Context, request gen.ListHoldsRequestObject) (gen.ListHoldsResponseObject, error) {
	after, err := decodeID(request.Params.After)
	if err != nil {
		return nil, err
	}
	limit := cmp.Or(deref(request.Params.Limit), defaultLimit)
	filter := standin.HoldFilter{
		StockFilter: standin.StockFilter{Location: deref(request.Params.Location), PartNumber: deref(request.Params.PartNumber)},
		State:       standin.HoldState(deref(request.Params.State)),
	}
	holds, err := h.shop.ListHolds(ctx, filter, after, limit+1)
	if err != nil {
		return nil, err
	}
	holds, last, more := page(holds, limit)
	answer := gen.ListHolds200JSONResponse{Body: gen.Holds{Holds: list(holds, encodeHold)}}
	if more {
		answer.Headers.Link = h.nextOf("/v1/holds", filter.StockFilter, limit, map[string]string{"state": string(filter.State)}, strconv.FormatInt(last.ID, 10))
	}
	return answer, nil
}

// GetHold returns one hold.
func (h *handlers) GetHold(ctx context.Context, request gen.GetHoldRequestObject) (gen.GetHoldResponseObject, error) {
	hold, err := h.shop.HoldOf(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	return gen.GetHold200JSONResponse{Body: encodeHold(hold)}, nil
}

// AddHold keeps stock for someone.
func (h *handlers) AddHold(ctx context.Context, request gen.AddHoldRequestObject) (gen.AddHoldResponseObject, error) {
	asked := request.Body
	if err := checkTexts(asked); err != nil {
		return nil, err
	}
	promise, err := once(ctx, request.Params.IdempotencyKey, "addHold", asked)
	if err != nil {
		return nil, err
	}
	if err := mayAt(ctx, asked.Location, "location"); err != nil {
		return nil, err
	}
	hold, err := h.shop.Hold(ctx, standin.NewHold{
		StockKey: lineKey(asked.Location, asked.PartNumber, asked.Revision, &asked.Condition),
		Quantity: asked.Quantity, Until: asked.Until, For: deref(asked.For), Reference: deref(asked.Reference), By: bearer(ctx).Name,
	}, promise)
	if err != nil {
		return nil, err
	}
	at := fmt.Sprintf("/v1/holds/%d", hold.ID)
	return gen.AddHold201JSONResponse{Body: encodeHold(hold), Headers: gen.AddHold201ResponseHeaders{Location: &at}}, nil
}

// RenewHold sets the time at which a hold ends.
func (h *handlers) RenewHold(ctx context.Context, request gen.RenewHoldRequestObject) (gen.RenewHoldResponseObject, error) {
	if err := h.mayHold(ctx, request.ID); err != nil {
		return nil, err
	}
	hold, err := h.shop.RenewHold(ctx, request.ID, request.Body.Until, bearer(ctx).Name)
	if err != nil {
		return nil, err
	}
	return gen.RenewHold200JSONResponse(encodeHold(hold)), nil
}

// ReleaseHold ends a hold.
func (h *handlers) ReleaseHold(ctx context.Context, request gen.ReleaseHoldRequestObject) (gen.ReleaseHoldResponseObject, error) {
	if err := h.mayHold(ctx, request.ID); err != nil {
		return nil, err
	}
	hold, err := h.shop.ReleaseHold(ctx, request.ID, bearer(ctx).Name)
	if err != nil {
		return nil, err
	}
	return gen.ReleaseHold200JSONResponse(encodeHold(hold)), nil
}

// TakeHold sells the pieces that a hold keeps.
func (h *handlers) TakeHold(ctx context.Context, request gen.TakeHoldRequestObject) (gen.TakeHoldResponseObject, error) {
	if err := checkTexts(request.Body); err != nil {
		return nil, err
	}
	promise, err := once(ctx, request.Params.IdempotencyKey, "takeHold", request.ID, request.Body)
	if err != nil {
		return nil, err
	}
	if err := h.mayHold(ctx, request.ID); err != nil {
		return nil, err
	}
	hold, sale, err := h.shop.TakeHold(ctx, standin.TakenHold{
		ID: request.ID, By: bearer(ctx).Name, Reason: deref(request.Body.Reason), Reference: deref(request.Body.Reference),
	}, promise)
	if err != nil {
		return nil, err
	}
	return gen.TakeHold200JSONResponse{Hold: encodeHold(hold), Move: encodeMove(sale)}, nil
}

// mayHold returns an error unless the bearer may change a hold. A hold stays at its
// location.
func (h *handlers) mayHold(ctx context.Context, id int64) error {
	if bearer(ctx).Location == "" {
		return nil
	}
	hold, err := h.shop.HoldOf(ctx, id)
	if err != nil {
		return err
	}
	return mayAt(ctx, hold.Location, "id")
}

func encodeHold(h standin.Hold) gen.Hold {
	return gen.Hold{
		Hold: h.ID, Location: h.Location, PartNumber: h.PartNumber, Revision: h.Revision, Condition: gen.Condition(h.Condition),
		Quantity: h.Quantity, Until: h.Until, For: h.For, Reference: h.Reference, By: h.By, Created: h.Created,
		State: gen.HoldState(h.State), Ended: maybeTime(h.Ended),
	}
}
