package api

import (
	"context"

	"standin/openapi/gen"
)

// GetHealth says that the program runs, whatever its database does.
func (h *handlers) GetHealth(context.Context, gen.GetHealthRequestObject) (gen.GetHealthResponseObject, error) {
	return gen.GetHealth200JSONResponse(h.health()), nil
}

// GetReadiness says whether questions can be answered.
func (h *handlers) GetReadiness(ctx context.Context, _ gen.GetReadinessRequestObject) (gen.GetReadinessResponseObject, error) {
	if err := h.catalogue.Ready(ctx); err != nil {
		return nil, err
	}
	return gen.GetReadiness200JSONResponse(h.health()), nil
}

func (h *handlers) health() gen.Health {
	return gen.Health{Status: gen.HealthStatusOk, Version: h.version}
}
