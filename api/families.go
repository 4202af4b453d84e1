package api

import (
	"cmp"
	"context"

	"standin"
	"standin/openapi/gen"
)

// ListFamilies is a page of families.
func (h *handlers) ListFamilies(ctx context.Context, request gen.ListFamiliesRequestObject) (gen.ListFamiliesResponseObject, error) {
	limit := cmp.Or(deref(request.Params.Limit), defaultLimit)
	after, err := decodeCursor(request.Params.After, 1)
	if err != nil {
		return nil, err
	}
	families, err := h.catalogue.ListFamilies(ctx, after[0], limit+1)
	if err != nil {
		return nil, err
	}
	families, last, more := page(families, limit)
	response := gen.ListFamilies200JSONResponse{Body: gen.Families{Families: list(families, encodeFamily)}}
	if more {
		response.Headers.Link = nextPage("/v1/families", limit, last.Name)
	}
	return response, nil
}

// GetFamily is one family with its procedure, boards and code map.
func (h *handlers) GetFamily(ctx context.Context, request gen.GetFamilyRequestObject) (gen.GetFamilyResponseObject, error) {
	record, err := h.catalogue.PreparedFamily(ctx, request.Family)
	if err != nil {
		return nil, err
	}
	f := encodeFamily(record.Family)
	full := gen.FamilyInFull{
		Family: f.Family, Title: f.Title, Method: f.Method, Reversible: f.Reversible, Selector: f.Selector, CodeLength: f.CodeLength,
		Readback: f.Readback, Alphabet: f.Alphabet, Panel: f.Panel, Procedure: f.Procedure, Note: f.Note,
		Steps: []gen.Step{}, Boards: texts(record.Boards), Configurations: len(record.Configurations),
		CodeMap: encodeCodeMap(record.CodeMap()), Trust: encodeFamilyTrust(record.Trust()), Skipped: texts(record.Table.Skipped),
	}
	if record.Steps != nil {
		full.Steps = list(record.Steps.Steps, encodeStep)
	}
	return gen.GetFamily200JSONResponse{Body: full}, nil
}

func encodeFamily(f standin.Family) gen.Family {
	return gen.Family{
		Family: f.Name, Title: f.Title, Method: gen.Method(cmp.Or(f.Method, standin.MethodSelector)), Reversible: maybe(f.Reversible),
		Selector: texts(f.Selector), CodeLength: f.CodeLength, Readback: texts(f.Readback),
		Alphabet: texts(f.Alphabet), Panel: list(f.Panel, texts), Procedure: f.Procedure, Note: f.Note,
	}
}

func encodeStep(s standin.Step) gen.Step {
	return gen.Step{
		Phase: gen.StepPhase(s.Phase), Step: s.Step, Do: s.Do, HoldSeconds: maybe(s.HoldSeconds), Expect: s.Expect,
	}
}
