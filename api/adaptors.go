package api

import (
	"context"

	"standin"
	"standin/openapi/gen"
)

// GetAdaptor is one adaptor with its stock.
func (h *handlers) GetAdaptor(ctx context.Context, request gen.GetAdaptorRequestObject) (gen.GetAdaptorResponseObject, error) {
	a, err := h.catalogue.AdaptorOf(ctx, request.PartNumber)
	if err != nil {
		return nil, err
	}
	return gen.GetAdaptor200JSONResponse{Body: gen.AdaptorInFull{
		PartNumber: a.PartNumber, Title: a.Title, Takes: layoutName(a.Takes), Gives: layoutName(a.Gives),
		Stock:   list(a.Stock, encodeStock),
		Layouts: layouts([]*standin.Layout{a.Takes, a.Gives}),
	}}, nil
}
