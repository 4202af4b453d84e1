package standin

import (
	"context"
	"fmt"
	"iter"
	"strings"
)

// Result is what Ask has for one machine: an answer, or why there is none.
type Result struct {
	Answer *Answer
	Err    *Error
}

const (
	// nearestOffered is how many similar models are named for an unknown one.
	nearestOffered = 5

	// mostNearest is for how many unknown models of one question the similar ones
	// are looked up: each costs as much as many answers, and a list with more of
	// them is from another catalogue.
	mostNearest = 20

	// decidedAtOnce is how many answers of one question are held at a time.
	decidedAtOnce = 20
)

// Ask answers for each machine, in the order asked. A machine whose model is not
// known has an Error of CodeUnknownModel with the nearest models in its place.
func Ask(ctx context.Context, c Catalogue, machines []Machine) ([]Result, error) {
	results := make([]Result, 0, len(machines))
	for result, err := range AskEach(ctx, c, machines) {
		if err != nil {
			return nil, err
		}
		results = append(results, result)
	}
	return results, nil
}

// AskEach yields the result of each machine, in the order asked: the one way of a
// question, for one machine or a thousand. All answers are from one state of the
// catalogue, and only some are held at a time. An error is the last that is
// yielded: the machines from there on have no result.
func AskEach(ctx context.Context, c Catalogue, machines []Machine) iter.Seq2[Result, error] {
	return func(yield func(Result, error) bool) {
		dossiers, err := c.Dossiers(ctx, machines)
		if err != nil {
			yield(Result{}, err)
			return
		}
		unknown, err := unknownModels(ctx, c, machines, dossiers)
		if err != nil {
			yield(Result{}, err)
			return
		}
		trusts := newTrusts(c)
		for len(machines) > 0 && ctx.Err() == nil {
			n := min(decidedAtOnce, len(machines))
			results, err := decide(ctx, c, trusts, unknown, machines[:n], dossiers[:n])
			if err != nil {
				yield(Result{}, err)
				return
			}
			clear(dossiers[:n]) // what was decided need not be held
			machines, dossiers = machines[n:], dossiers[n:]
			for _, result := range results {
				if !yield(result, nil) {
					return
				}
			}
		}
		if len(machines) > 0 {
			yield(Result{}, endedEarly(ctx.Err()))
		}
	}
}

// endedEarly is the error of a question that was given up before it was answered.
func endedEarly(cause error) error {
	return &Error{Code: CodeUnavailable, Message: "the question took too long or was given up; ask again, or for fewer machines", Cause: cause}
}

// decide is what Fit makes of some machines, and what the store adds to that.
func decide(ctx context.Context, c Catalogue, trusts *trusts, unknown map[ModelKey]*Error, machines []Machine, dossiers []*Dossier) ([]Result, error) {
	results := make([]Result, len(machines))
	for i, d := range dossiers {
		if d == nil {
			results[i].Err = unknown[machines[i].ModelKey]
			continue
		}
		answer := Fit(d, machines[i])
		results[i].Answer = &answer
	}
	if err := trusts.addTo(ctx, results); err != nil {
		return nil, err
	}
	return results, countFittings(ctx, c, dossiers, results)
}

// unknownModels are the errors of the models that have no dossier.
func unknownModels(ctx context.Context, c Catalogue, machines []Machine, dossiers []*Dossier) (map[ModelKey]*Error, error) {
	errs := map[ModelKey]*Error{}
	var looked []ModelKey
	for i, d := range dossiers {
		key := machines[i].ModelKey
		if d != nil || errs[key] != nil {
			continue
		}
		errs[key] = &Error{Code: CodeUnknownModel, Message: fmt.Sprintf("no model %s is recorded", key), Field: "model"}
		if len(looked) < mostNearest {
			looked = append(looked, key)
		} else {
			errs[key].Message += "; ask for it alone to be shown the nearest"
		}
	}
	if len(looked) == 0 {
		return errs, nil
	}
	typed := make([]string, len(looked))
	for i, key := range looked {
		typed[i] = strings.TrimSpace(key.Brand + " " + key.Model + " " + key.Variant)
	}
	nearest, err := c.FindModelsOfEach(ctx, typed, nearestOffered)
	if err != nil {
		return nil, err
	}
	for i, key := range looked {
		errs[key].Nearest = nearest[i]
		if len(nearest[i]) > 0 {
			errs[key].Message += fmt.Sprintf("; the nearest is %s", nearest[i][0].ModelKey)
		}
	}
	return errs, nil
}

// unknownModel is the error for one key.
func unknownModel(ctx context.Context, c Catalogue, key ModelKey) (*Error, error) {
	errs, err := unknownModels(ctx, c, []Machine{{ModelKey: key}}, []*Dossier{nil})
	return errs[key], err
}
