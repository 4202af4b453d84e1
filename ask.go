package standin

import (
	"context"
	"fmt"
	"strings"
)

// Result is what Ask has for one machine: an answer, or why there is none.
type Result struct {
	Answer *Answer
	Err    *Error
}

// nearestOffered is how many similar models are named for an unknown one.
const nearestOffered = 5

// Ask answers for each machine, in the order asked: the one way of a question,
// for one machine or a thousand. A machine whose model is not known has an
// Error of CodeUnknownModel with the nearest models in its place.
func Ask(ctx context.Context, c Catalogue, machines []Machine) ([]Result, error) {
	dossiers, err := c.Dossiers(ctx, machines)
	if err != nil {
		return nil, err
	}
	results := make([]Result, len(machines))
	unknown := map[ModelKey]*Error{}
	for i, d := range dossiers {
		if d != nil {
			answer := Fit(d, machines[i])
			results[i].Answer = &answer
			continue
		}
		key := machines[i].ModelKey
		if unknown[key] == nil {
			if unknown[key], err = unknownModel(ctx, c, key); err != nil {
				return nil, err
			}
		}
		results[i].Err = unknown[key]
	}
	if err := addTrust(ctx, c, results); err != nil {
		return nil, err
	}
	return results, countFittings(ctx, c, dossiers, results)
}

func unknownModel(ctx context.Context, c Catalogue, key ModelKey) (*Error, error) {
	typed := strings.TrimSpace(key.Brand + " " + key.Model + " " + key.Variant)
	nearest, err := c.FindModels(ctx, typed, nearestOffered)
	if err != nil {
		return nil, err
	}
	message := fmt.Sprintf("no model %s is recorded", key)
	if len(nearest) > 0 {
		message += fmt.Sprintf("; the nearest is %s", nearest[0].ModelKey)
	}
	return &Error{Code: CodeUnknownModel, Message: message, Field: "model", Nearest: nearest}, nil
}
