package api

import (
	"cmp"
	"context"
	"net/url"

	"standin"
	"standin/openapi/gen"
)

// ListModelsOfBoard is a page of the models a board can stand in for: each is
// asked for without any evidence, as a machine at the counter would be.
func (h *handlers) ListModelsOfBoard(ctx context.Context, request gen.ListModelsOfBoardRequestObject) (gen.ListModelsOfBoardResponseObject, error) {
	part, limit := request.PartNumber, cmp.Or(deref(request.Params.Limit), defaultLimit)
	after, err := decodeCursor(request.Params.After, 3)
	if err != nil {
		return nil, err
	}
	if _, err := h.catalogue.BoardOf(ctx, part); err != nil {
		return nil, err
	}
	keys, err := h.catalogue.ModelsOfBoard(ctx, part, standin.ModelKey{Brand: after[0], Model: after[1], Variant: after[2]}, limit+1)
	if err != nil {
		return nil, err
	}
	keys, last, more := page(keys, limit)
	models, err := h.verdicts(ctx, part, keys)
	if err != nil {
		return nil, err
	}
	response := gen.ListModelsOfBoard200JSONResponse{Body: gen.BoardModels{PartNumber: part, Models: models}}
	if more {
		response.Headers.Link = h.nextPage("/v1/boards/"+url.PathEscape(part)+"/models", limit, nil, last.Brand, last.Model, last.Variant)
	}
	return response, nil
}

// verdicts are those of the models that the board is not ruled out for.
func (h *handlers) verdicts(ctx context.Context, part string, keys []standin.ModelKey) ([]gen.BoardModel, error) {
	machines := list(keys, func(k standin.ModelKey) standin.Machine { return standin.Machine{ModelKey: k} })
	results, err := standin.Ask(ctx, h.catalogue, machines)
	if err != nil {
		return nil, err
	}
	models := []gen.BoardModel{}
	for _, r := range results {
		if r.Answer == nil {
			continue // removed since the keys were read
		}
		if revisions := standingIn(part, r.Answer.Candidates); len(revisions) > 0 {
			m := r.Answer.Model
			models = append(models, gen.BoardModel{
				ID: m.ID, Key: m.Text(), Brand: m.Brand, Model: m.Model, Variant: m.Variant,
				Verdict: revisions[0].Verdict, Revisions: revisions,
			})
		}
	}
	return models, nil
}

// standingIn are the revisions of a part that are not ruled out, best first as
// the candidates are.
func standingIn(part string, candidates []standin.Candidate) []gen.RevisionVerdict {
	var revisions []gen.RevisionVerdict
	for _, c := range candidates {
		if c.PartNumber == part && c.Verdict != standin.No {
			revisions = append(revisions, gen.RevisionVerdict{
				Revision: c.Revision, Issue: maybe(c.Issue), Verdict: encodeVerdict(c.Verdict),
			})
		}
	}
	return revisions
}
