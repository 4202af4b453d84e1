package standin

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
)

// FittingOutcome is what became of a board that was fitted.
type FittingOutcome string

// The outcomes of a fitting.
const (
	FittingWorks        FittingOutcome = "works"
	FailedAtOnce        FittingOutcome = "failed-at-once"
	FailedWithinDays    FittingOutcome = "failed-within-days"
	FittingReturned     FittingOutcome = "returned"
	FittingFoundWrong   FittingOutcome = "found-wrong" // it was not the board for this machine
	keepsFailingAtLeast                = 3
)

// FittingOutcomes are all outcomes of a fitting.
var FittingOutcomes = []FittingOutcome{FittingWorks, FailedAtOnce, FailedWithinDays, FittingReturned, FittingFoundWrong}

// NewFitting is a fitting to be recorded: a board, the machine it was fitted to,
// how it was configured and what was read back.
type NewFitting struct {
	Machine     Machine // with what evidence there was of its build
	Build       string  // that it was taken for; empty: not settled
	PartNumber  string
	Revision    string // empty: not known
	BoardSerial string
	Code        []string // that was entered; none: the one recorded for the model, where something was read
	Reading     string   // as ParseReading takes it; empty: nothing was read back
	FittingResult
	Reference string // the caller's own, a job
	By        string
}

// FittingResult is what became of a fitting. It may be told later, and anew.
type FittingResult struct {
	Outcome FittingOutcome
	Cause   string // why it failed
	Note    string
}

// Fitting is a fitting that was recorded.
type Fitting struct {
	ID int64
	At time.Time
	NewFitting
	Model   ModelKey // what Machine's badge stands for, where that is a twin; this counts
	Family  string   // of the board; empty: a fixed one
	Pattern Pattern  // that the code must show; empty: none is recorded
	Tally   Tally    // of Reading; empty: nothing was read back
}

// FittingFilter is which fittings are listed; what is empty does not matter.
type FittingFilter struct {
	Model      ModelKey // variant and all, where it has a brand
	PartNumber string
	Outcome    FittingOutcome
}

// Fittings is where fittings are kept. What is said of Stocks holds here.
type Fittings interface {
	// FittingMade is the fitting that a key and request made before; false where
	// they made none.
	FittingMade(ctx context.Context, once Once) (Fitting, bool, error)

	// AddFitting keeps a fitting as it is.
	AddFitting(ctx context.Context, fitting Fitting, once Once) (Fitting, error)

	// FittingOf is one fitting. CodeNotFound where there is none.
	FittingOf(ctx context.Context, id int64) (Fitting, error)

	// ListFittings are the fittings of a filter in the order they were recorded,
	// from an id (exclusive) on.
	ListFittings(ctx context.Context, filter FittingFilter, after int64, limit int) ([]Fitting, error)

	// SetResult says what became of a fitting. CodeNotFound where there is none.
	SetResult(ctx context.Context, id int64, result FittingResult, by string) (Fitting, error)
}

// Check refuses an outcome that there is not.
func (r FittingResult) Check() error {
	if slices.Contains(FittingOutcomes, r.Outcome) {
		return nil
	}
	return badField("outcome", "the outcome is works, failed-at-once, failed-within-days, returned or found-wrong, not %q", r.Outcome)
}

// RecordFitting keeps a fitting: the one way of it. What was read back is compared
// with what the code must show, and the tally kept with it. An unknown model,
// board or revision and a code or reading that is not of the family are errors as
// VerifyReading has them.
func RecordFitting(ctx context.Context, c Catalogue, kept Fittings, wanted NewFitting, once Once) (Fitting, error) {
	if made, ok, err := kept.FittingMade(ctx, once); ok || err != nil {
		return made, err
	}
	f, err := examineFitting(ctx, c, wanted)
	if err != nil {
		return f, err
	}
	return kept.AddFitting(ctx, f, once)
}

// examineFitting looks up what a fitting is about.
func examineFitting(ctx context.Context, c Catalogue, wanted NewFitting) (Fitting, error) {
	f := Fitting{NewFitting: wanted}
	if err := wanted.Check(); err != nil {
		return f, err
	}
	dossiers, err := c.Dossiers(ctx, []Machine{wanted.Machine})
	if err != nil {
		return f, err
	}
	if dossiers[0] == nil {
		unknown, err := unknownModel(ctx, c, wanted.Machine.ModelKey)
		if err != nil {
			return f, err
		}
		return f, unknown
	}
	f.Machine.ModelKey, f.Model = dossiers[0].Asked, dossiers[0].Model.ModelKey
	board, err := c.BoardOf(ctx, wanted.PartNumber)
	if err != nil {
		return f, err
	}
	f.Family = board.Family
	if wanted.Revision != "" && !slices.ContainsFunc(board.Revisions, func(r Revision) bool { return r.Label == wanted.Revision }) {
		return f, &Error{Code: CodeNotFound, Field: "revision", Message: fmt.Sprintf("no revision %s of %s is recorded", wanted.Revision, wanted.PartNumber)}
	}
	return f, f.compare(ctx, c)
}

// compare checks the code that was entered, and what was read back against it.
func (f *Fitting) compare(ctx context.Context, c Catalogue) error {
	if f.Family == "" {
		if len(f.Code) > 0 || f.Reading != "" {
			return badField("code", "%s is a fixed board: it has no code and nothing to read back", f.PartNumber)
		}
		return nil
	}
	if f.Reading == "" {
		if len(f.Code) == 0 {
			return nil
		}
		family, err := c.FamilyOf(ctx, f.Family)
		if err != nil {
			return err
		}
		return family.CheckCode(f.Code)
	}
	verified, err := VerifyReading(ctx, c, ReadingAsked{
		Family: f.Family, PartNumber: f.PartNumber, Revision: f.Revision, ModelKey: f.Machine.ModelKey, Build: f.Build,
		Code: strings.Join(f.Code, " "), Reading: f.Reading,
	})
	if err != nil {
		return err
	}
	f.Code, f.Pattern, f.Reading, f.Tally = verified.Code, verified.Pattern, string(verified.Reading), verified.Tally
	return nil
}

// Check refuses a fitting that lacks what every one has.
func (f NewFitting) Check() error {
	if f.PartNumber == "" {
		return badField("part_number", "the part number of the board that was fitted is empty")
	}
	return f.FittingResult.Check()
}

// FittingKey is a board revision in machines of one model.
type FittingKey struct {
	ModelKey
	PartNumber, Revision string
}

// FittingCounts are how boards fared that were fitted. They are what a shop
// happened to record: they change no verdict.
type FittingCounts struct {
	Works, FailedAtOnce, FailedWithinDays, Returned, FoundWrong int
	Tallied, DidNotTally                                        int // of those that were read back
}

// FittingCounter counts fittings.
type FittingCounter interface {
	// FittingCounts counts the fittings of each key that has any.
	FittingCounts(ctx context.Context, keys []FittingKey) (map[FittingKey]FittingCounts, error)
}

// KeepsFailing reports whether the readings of one configuration are such that
// the catalogue is probably wrong: at least three do not tally, and more than do.
func (c FittingCounts) KeepsFailing() bool {
	return c.DidNotTally >= keepsFailingAtLeast && c.DidNotTally > c.Tallied
}

// countFittings sets the counts of every candidate of the answers. Where no
// fitting is recorded at all the store is not asked.
func countFittings(ctx context.Context, c Catalogue, dossiers []*Dossier, results []Result) error {
	counter, ok := c.(FittingCounter)
	if !ok || !slices.ContainsFunc(dossiers, func(d *Dossier) bool { return d != nil && d.Fitted }) {
		return nil
	}
	var keys []FittingKey
	for _, r := range results {
		if r.Answer != nil {
			for _, candidate := range r.Answer.Candidates {
				keys = append(keys, r.Answer.fittingKey(candidate))
			}
		}
	}
	counts, err := counter.FittingCounts(ctx, keys)
	if err != nil {
		return err
	}
	for _, r := range results {
		if r.Answer == nil {
			continue
		}
		for i := range r.Answer.Candidates {
			candidate := &r.Answer.Candidates[i]
			if n, any := counts[r.Answer.fittingKey(*candidate)]; any {
				candidate.Fittings = &n
			}
		}
	}
	return nil
}

func (a *Answer) fittingKey(c Candidate) FittingKey {
	return FittingKey{a.Model.ModelKey, c.PartNumber, c.Revision}
}
