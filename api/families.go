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
		response.Headers.Link = h.nextPage("/v1/families", limit, nil, last.Name)
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

func encodeCodeMap(m *standin.CodeMap) gen.CodeMap {
	points := make([]gen.PointMap, len(m.Points))
	for i := range m.Points {
		points[i] = encodePointMap(&m.Points[i])
	}
	return gen.CodeMap{Points: points}
}

func encodePointMap(p *standin.PointMap) gen.PointMap {
	encoded := gen.PointMap{
		Point: p.Point, Kind: gen.PointMapKindExact, Places: list(p.Places, same), Rows: p.Rows, LeaveOut: p.LeaveOut,
		G3: p.G3(), Shared: p.Shared, Text: p.Text(), Cells: list(p.Cells(), encodeCell),
	}
	switch {
	case len(p.Places) == 0:
		encoded.Kind = gen.PointMapKindUnknown
	case p.LeaveOut > 0:
		encoded.Kind = gen.PointMapKindApproximate
	}
	if p.Constant != 0 {
		encoded.Constant = gen.PointMapConstant(string(p.Constant))
	}
	return encoded
}

func encodeCell(c standin.Cell) gen.CodeMapCell {
	return gen.CodeMapCell{
		Symbols: texts(c.Symbols), Shows: gen.CodeMapCellShows(string(c.Shows)), Rows: c.Rows, Against: c.Against,
	}
}

func encodeFamilyTrust(t standin.FamilyTrust) gen.FamilyTrust {
	return gen.FamilyTrust{
		Recorded: t.Recorded, Unrecorded: t.Unrecorded, Text: t.Text,
		ByDistance: list(t.ByDistance, func(d standin.DistanceCount) gen.DistanceCount {
			return gen.DistanceCount{Distance: d.Distance, Settings: d.Settings}
		}),
	}
}
