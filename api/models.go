package api

import (
	"context"
	"strconv"
	"strings"

	"standin"
	"standin/openapi/gen"
)

// GetModel is one model with its builds.
func (h *handlers) GetModel(ctx context.Context, request gen.GetModelRequestObject) (gen.GetModelResponseObject, error) {
	id, err := h.modelID(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	d, err := h.catalogue.DossierOf(ctx, id)
	if err != nil {
		return nil, err
	}
	return gen.GetModel200JSONResponse{Body: encodeModel(id, d)}, nil
}

// modelID is the number of a model that is named by it or by its key. A key always
// has a tilde in it.
func (h *handlers) modelID(ctx context.Context, text string) (int64, error) {
	if strings.Contains(text, "~") {
		key, err := standin.ParseModelKey(text)
		if err != nil {
			return 0, badField("id", "%v", err)
		}
		return h.catalogue.ModelID(ctx, key)
	}
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil || id < 1 {
		return 0, badField("id", "id must be a key as Wexcombe~DW.20410, or a whole number from 1; /v1/models gives both")
	}
	return id, nil
}

// encodeModel is a dossier without its candidates. For a twin the key is that
// of the badge asked for, and all the rest that of the model it is a twin of.
func encodeModel(id int64, d *standin.Dossier) gen.Model {
	m := d.Model
	out := gen.Model{
		ID: id, Key: d.Asked.Text(), Brand: d.Asked.Brand, Model: d.Asked.Model, Variant: d.Asked.Variant,
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
		ID: m.ID, Key: m.Text(), Brand: m.Brand, Model: m.Model, Variant: m.Variant, Kind: m.Kind,
		TwinOf: encodeTwin(m.TwinOf), Nearness: m.Nearness,
	}
}

func encodeTwin(k *standin.ModelKey) *gen.ModelKey {
	if k == nil {
		return nil
	}
	return &gen.ModelKey{Brand: k.Brand, Model: k.Model, Variant: k.Variant}
}
