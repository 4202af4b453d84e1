package api

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"

	"standin"
	"standin/openapi/gen"
)

// VerifyReading tells whether a reading tallies.
func (h *handlers) VerifyReading(ctx context.Context, request gen.VerifyReadingRequestObject) (gen.VerifyReadingResponseObject, error) {
	b := request.Body
	var asked standin.ReadingAsked
	if err := take(
		given{"family", b.Family, &asked.Family}, given{"part_number", b.PartNumber, &asked.PartNumber},
		given{"revision", b.Revision, &asked.Revision}, given{"brand", b.Brand, &asked.Brand},
		given{"model", b.Model, &asked.Model}, given{"variant", b.Variant, &asked.Variant},
		given{"build", b.Build, &asked.Build}, given{"code", b.Code, &asked.Code},
		given{"reading", b.Reading, &asked.Reading},
	); err != nil {
		return nil, err
	}
	var err error
	if asked.Ticks, err = takeTicks(b.Ticks); err != nil {
		return nil, err
	}
	verified, err := standin.VerifyReading(ctx, h.catalogue, asked)
	if err != nil {
		return nil, err
	}
	return gen.VerifyReading200JSONResponse(EncodeVerified(verified)), nil
}

// IdentifyReading tells what a board may be set for.
func (h *handlers) IdentifyReading(ctx context.Context, request gen.IdentifyReadingRequestObject) (gen.IdentifyReadingResponseObject, error) {
	b := request.Body
	asked := standin.IdentifyAsked{Limit: cmp.Or(deref(b.Limit), defaultSettings)}
	if err := take(
		given{"family", b.Family, &asked.Family}, given{"part_number", b.PartNumber, &asked.PartNumber},
		given{"reading", b.Reading, &asked.Reading},
	); err != nil {
		return nil, err
	}
	var err error
	if asked.Ticks, err = takeTicks(b.Ticks); err != nil {
		return nil, err
	}
	identified, err := standin.IdentifyReading(ctx, h.catalogue, asked)
	if err != nil {
		return nil, err
	}
	return gen.IdentifyReading200JSONResponse(EncodeIdentification(identified)), nil
}

// given is a text of a body and where it goes.
type given struct {
	name string
	text *string
	into *string
}

// take takes texts that people typed. The contract has looked at their length.
func take(all ...given) error {
	for _, g := range all {
		text := strings.TrimSpace(deref(g.text))
		if !printable(text) {
			return notPrintable(g.name)
		}
		*g.into = text
	}
	return nil
}

// takeTicks is what was seen by point; nil where it is not given so.
func takeTicks(given *gen.Ticks) (map[string]string, error) {
	if given == nil {
		return nil, nil
	}
	for _, point := range slices.Sorted(maps.Keys(*given)) {
		if !printable(point) || !printable((*given)[point]) {
			return nil, notPrintable("ticks")
		}
	}
	return *given, nil
}
