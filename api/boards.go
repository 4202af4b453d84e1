package api

import (
	"context"
	"maps"
	"slices"

	"standin"
	"standin/openapi/gen"
)

// GetBoard is one board with what surrounds it.
func (h *handlers) GetBoard(ctx context.Context, request gen.GetBoardRequestObject) (gen.GetBoardResponseObject, error) {
	record, err := h.catalogue.BoardOf(ctx, request.PartNumber)
	if err != nil {
		return nil, err
	}
	return gen.GetBoard200JSONResponse{Body: encodeBoard(record)}, nil
}

func encodeBoard(r *standin.BoardRecord) gen.Board {
	return gen.Board{
		PartNumber: r.PartNumber, Family: r.Family, Position: r.Position, Title: r.Title, GTIN: r.GTIN,
		Revisions:     list(r.Revisions, encodeRevision),
		Supersessions: list(r.Supersessions, encodeSupersession),
		Markings:      list(r.Markings, encodeMarking),
		Stock:         list(r.Stock, encodeStock),
		Layouts: layouts(list(r.Revisions, func(r standin.Revision) *standin.Layout {
			return r.Layout
		})),
	}
}

func encodeRevision(r standin.Revision) gen.Revision {
	return gen.Revision{
		Revision: r.Label, Issue: maybe(r.Issue), Layout: layoutName(r.Layout),
		MadeFrom: day(r.Made.From), MadeTo: day(r.Made.To), Options: maybeList(r.Options),
		VoltsMin: maybe(r.VoltsMin), VoltsMax: maybe(r.VoltsMax), Hertz: maybeList(r.Hertz),
		Procedure: r.Procedure, Stop: r.Stop,
		Ratings: list(slices.Sorted(maps.Keys(r.Ratings)), func(circuit string) gen.Rating {
			return gen.Rating{Circuit: circuit, MaxAmps: maybe(r.Ratings[circuit])}
		}),
	}
}

func encodeSupersession(s standin.Supersession) gen.Supersession {
	interchange := gen.SupersessionInterchangeOneWay
	if s.TwoWay {
		interchange = gen.SupersessionInterchangeTwoWay
	}
	return gen.Supersession{
		OldPart: s.Old, NewPart: s.New, Interchange: interchange, From: day(s.From), Note: s.Note,
	}
}

func encodeMarking(m standin.Marking) gen.Marking {
	return gen.Marking{Marking: m.Marking, Revision: m.Revision, Note: m.Note}
}

func encodeStock(s standin.Stock) gen.Stock {
	return gen.Stock{
		Location: s.Location, Revision: s.Revision, Condition: gen.Condition(s.Condition),
		Quantity: s.Quantity, Free: s.Free,
	}
}

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
