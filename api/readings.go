package api

import (
	"cmp"
	"context"
	"strings"

	"standin"
	"standin/openapi/gen"
)

// VerifyReading reports whether a reading tallies.
func (h *handlers) VerifyReading(ctx context.Context, request gen.VerifyReadingRequestObject) (gen.VerifyReadingResponseObject, error) {
	b := request.Body
	var asked standin.ReadingAsked
	if err := takeReading(b.Ticks, &asked.Ticks,
		given{"family", b.Family, &asked.Family}, given{"part_number", b.PartNumber, &asked.PartNumber},
		given{"revision", b.Revision, &asked.Revision}, given{"brand", b.Brand, &asked.Brand},
		given{"model", b.Model, &asked.Model}, given{"variant", b.Variant, &asked.Variant},
		given{"build", b.Build, &asked.Build}, given{"code", b.Code, &asked.Code},
		given{"reading", b.Reading, &asked.Reading},
	); err != nil {
		return nil, err
	}
	verified, err := standin.VerifyReading(ctx, h.catalogue, asked)
	if err != nil {
		return nil, err
	}
	h.metrics.readings.WithLabelValues(string(verified.Tally)).Inc()
	return gen.VerifyReading200JSONResponse(EncodeVerified(verified)), nil
}

// IdentifyReading answers what a board may be set for.
func (h *handlers) IdentifyReading(ctx context.Context, request gen.IdentifyReadingRequestObject) (gen.IdentifyReadingResponseObject, error) {
	b := request.Body
	asked := standin.IdentifyAsked{Limit: cmp.Or(deref(b.Limit), defaultSettings)}
	if err := takeReading(b.Ticks, &asked.Ticks,
		given{"family", b.Family, &asked.Family}, given{"part_number", b.PartNumber, &asked.PartNumber},
		given{"reading", b.Reading, &asked.Reading},
	); err != nil {
		return nil, err
	}
	identified, err := standin.IdentifyReading(ctx, h.catalogue, asked)
	if err != nil {
		return nil, err
	}
	h.metrics.readings.WithLabelValues(identifiedAs(identified)).Inc()
	return gen.IdentifyReading200JSONResponse(EncodeIdentification(identified)), nil
}

// identifiedAs is one of a few words for what came of a reading that was looked up.
func identifiedAs(i *standin.Identification) string {
	switch {
	case i.Exact > 0:
		return "identified"
	case len(i.Settings) > 0:
		return "near"
	}
	return "nothing-near"
}

// given is a text of a body and where it goes.
type given struct {
	name string
	text *string
	into *string
}

// takeReading takes what people typed: the texts that go with a reading, and what
// was seen by point where it is given so. The contract has looked at their length.
func takeReading(ticks *gen.Ticks, into *map[string]string, texts ...given) error {
	for _, g := range texts {
		text := strings.TrimSpace(deref(g.text))
		if !printable(text) {
			return notPrintable(g.name)
		}
		*g.into = text
	}
	if ticks == nil {
		return nil
	}
	for point, seen := range *ticks {
		if !printable(point) || !printable(seen) {
			return notPrintable("ticks")
		}
	}
	*into = *ticks
	return nil
}
