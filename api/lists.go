package api

import (
	"cmp"
	"context"
	"strings"

	"standin"
	"standin/openapi/gen"
)

// FindModels finds a model as typed or misread, or lists the models.
func (h *handlers) FindModels(ctx context.Context, request gen.FindModelsRequestObject) (gen.FindModelsResponseObject, error) {
	if request.Params.Q == nil {
		return h.listModels(ctx, request.Params)
	}
	p := request.Params
	for name, given := range map[string]bool{"brand": p.Brand != nil, "kind": p.Kind != nil, "family": p.Family != nil, "after": p.After != nil} {
		if given {
			return nil, badField(name, "%s goes with the list of models, not with q, which finds the nearest; leave one of them out", name)
		}
	}
	typed := strings.TrimSpace(*p.Q)
	if typed == "" {
		return nil, badField("q", "q is empty; give some of the brand and the model number, or leave it out for the list of models")
	}
	matches, err := h.catalogue.FindModels(ctx, typed, cmp.Or(deref(p.Limit), defaultModels))
	if err != nil {
		return nil, err
	}
	return gen.FindModels200JSONResponse{Body: gen.Models{Models: list(matches, encodeMatch)}}, nil
}

func (h *handlers) listModels(ctx context.Context, p gen.FindModelsParams) (gen.FindModelsResponseObject, error) {
	limit := cmp.Or(deref(p.Limit), defaultLimit)
	after, err := decodeCursor(p.After, 3)
	if err != nil {
		return nil, err
	}
	filter := standin.ModelFilter{Brand: text(p.Brand), Kind: text(p.Kind), Family: text(p.Family)}
	models, err := h.catalogue.ListModels(ctx, filter, standin.ModelKey{Brand: after[0], Model: after[1], Variant: after[2]}, limit+1)
	if err != nil {
		return nil, err
	}
	models, last, more := page(models, limit)
	response := gen.FindModels200JSONResponse{Body: gen.Models{Models: list(models, func(m standin.ListedModel) gen.ModelMatch {
		return encodeMatch(standin.ModelMatch{ID: m.ID, ModelKey: m.ModelKey, Kind: m.Kind, TwinOf: m.TwinOf, Nearness: 1})
	})}}
	if more {
		kept := map[string]string{"brand": filter.Brand, "kind": filter.Kind, "family": filter.Family}
		response.Headers.Link = h.nextPage("/v1/models", limit, kept, last.Brand, last.Model, last.Variant)
	}
	return response, nil
}

// ListBoards is a page of boards.
func (h *handlers) ListBoards(ctx context.Context, request gen.ListBoardsRequestObject) (gen.ListBoardsResponseObject, error) {
	p := request.Params
	limit := cmp.Or(deref(p.Limit), defaultLimit)
	after, err := decodeCursor(p.After, 1)
	if err != nil {
		return nil, err
	}
	filter := standin.BoardFilter{Family: text(p.Family), Fixed: deref(p.Fixed), Text: text(p.Q)}
	boards, err := h.catalogue.ListBoards(ctx, filter, after[0], limit+1)
	if err != nil {
		return nil, err
	}
	boards, last, more := page(boards, limit)
	response := gen.ListBoards200JSONResponse{Body: gen.Boards{Boards: list(boards, func(b standin.ListedBoard) gen.ListedBoard {
		return gen.ListedBoard{PartNumber: b.PartNumber, Family: b.Family, Title: b.Title, GTIN: b.GTIN, Revisions: b.Revisions}
	})}}
	if more {
		kept := map[string]string{"family": filter.Family, "q": filter.Text}
		if filter.Fixed {
			kept["fixed"] = "true"
		}
		response.Headers.Link = h.nextPage("/v1/boards", limit, kept, last.PartNumber)
	}
	return response, nil
}

// ListAdaptors is a page of adaptors.
func (h *handlers) ListAdaptors(ctx context.Context, request gen.ListAdaptorsRequestObject) (gen.ListAdaptorsResponseObject, error) {
	p := request.Params
	limit := cmp.Or(deref(p.Limit), defaultLimit)
	after, err := decodeCursor(p.After, 1)
	if err != nil {
		return nil, err
	}
	filter := standin.AdaptorFilter{Takes: text(p.Takes), Gives: text(p.Gives), Text: text(p.Q)}
	adaptors, err := h.catalogue.ListAdaptors(ctx, filter, after[0], limit+1)
	if err != nil {
		return nil, err
	}
	adaptors, last, more := page(adaptors, limit)
	response := gen.ListAdaptors200JSONResponse{Body: gen.Adaptors{Adaptors: list(adaptors, func(a standin.ListedAdaptor) gen.ListedAdaptor {
		return gen.ListedAdaptor{PartNumber: a.PartNumber, Title: a.Title, Takes: a.Takes, Gives: a.Gives}
	})}}
	if more {
		kept := map[string]string{"takes": filter.Takes, "gives": filter.Gives, "q": filter.Text}
		response.Headers.Link = h.nextPage("/v1/adaptors", limit, kept, last.PartNumber)
	}
	return response, nil
}

// text is what was typed, without the spaces around it.
func text(p *string) string { return strings.TrimSpace(deref(p)) }
