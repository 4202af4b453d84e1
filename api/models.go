package api

import (
	"cmp"
	"context"
	"strings"

	"standin"
	"standin/openapi/gen"
)

// FindModels finds a model as typed or misread.
func (h *handlers) FindModels(ctx context.Context, request gen.FindModelsRequestObject) (gen.FindModelsResponseObject, error) {
	typed := strings.TrimSpace(request.Params.Q)
	if typed == "" {
		return nil, badField("q", "q is empty; give some of the brand and the model number")
	}
	matches, err := h.catalogue.FindModels(ctx, typed, cmp.Or(deref(request.Params.Limit), defaultModels))
	if err != nil {
		return nil, err
	}
	return gen.FindModels200JSONResponse{Body: gen.Models{Models: list(matches, encodeMatch)}}, nil
}

// GetModel is one model with its builds.
func (h *handlers) GetModel(ctx context.Context, request gen.GetModelRequestObject) (gen.GetModelResponseObject, error) {
	d, err := h.catalogue.DossierOf(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	return gen.GetModel200JSONResponse{Body: encodeModel(request.ID, d)}, nil
}

// encodeModel is a dossier without its candidates. For a twin the key is that
// of the badge asked for, and all the rest that of the model it is a twin of.
func encodeModel(id int64, d *standin.Dossier) gen.Model {
	m := d.Model
	out := gen.Model{
		ID: id, Brand: d.Asked.Brand, Model: d.Asked.Model, Variant: d.Asked.Variant,
		CatalogueVersion: d.CatalogueVersion,
		Kind:             m.Kind, MadeFrom: day(m.Made.From), MadeTo: day(m.Made.To),
		RatedHertz: maybeList(m.Hertz), Class: gen.ModelClass(m.Class),
		Builds: list(d.Builds, encodeBuild),
		Loads:  list(d.Loads, encodeLoad),
		Layouts: layouts(list(d.Builds, func(b standin.Build) *standin.Layout {
			return b.Layout
		})),
	}
	if d.Asked != m.ModelKey {
		out.TwinOf = encodeTwin(&m.ModelKey)
	}
	if m.SerialRule != nil {
		out.SerialRule = m.SerialRule.Name
	}
	if m.Volts.Known {
		ranges := list(m.Volts.V, func(r standin.VoltRange) gen.VoltRange { return gen.VoltRange{Low: r.Low, High: r.High} })
		out.RatedVolts = &ranges
	}
	if len(m.Volts.V) == 1 && m.Volts.V[0].Low == m.Volts.V[0].High {
		out.Volts = &m.Volts.V[0].Low
	}
	if len(m.Hertz.V) == 1 {
		out.Hertz = &m.Hertz.V[0]
	}
	return out
}

func encodeBuild(b standin.Build) gen.Build {
	return gen.Build{
		Position: b.Position, Build: b.Label, MadeFrom: day(b.Made.From), MadeTo: day(b.Made.To), RunOutDays: b.RunOutDays,
		SerialFrom: b.SerialFrom, SerialTo: b.SerialTo,
		PartNumber: b.PartNumber, Revision: b.Revision, Layout: layoutName(b.Layout),
		Needs: maybeList(b.Needs), Source: b.Source,
	}
}

func encodeLoad(l standin.Load) gen.Load {
	return gen.Load{
		Position: l.Position, Build: l.Build, Circuit: l.Circuit, Watts: maybe(l.Watts), Volts: maybe(l.Volts),
		Element: gen.LoadElement(l.Element), Amps: maybe(l.Amps), PowerFactor: maybe(l.PowerFactor),
		OhmsLow: maybe(l.OhmsLow), OhmsHigh: maybe(l.OhmsHigh), AtCelsius: maybe(l.AtCelsius),
	}
}

func encodeMatch(m standin.ModelMatch) gen.ModelMatch {
	return gen.ModelMatch{
		ID: m.ID, Brand: m.Brand, Model: m.Model, Variant: m.Variant, Kind: m.Kind,
		TwinOf: encodeTwin(m.TwinOf), Nearness: m.Nearness,
	}
}

func encodeTwin(k *standin.ModelKey) *gen.ModelKey {
	if k == nil {
		return nil
	}
	return &gen.ModelKey{Brand: k.Brand, Model: k.Model, Variant: k.Variant}
}
