package standin

import "context"

// storiesTold is how many stories a reading that does not tally is told with;
// equals of the last are told as well.
const storiesTold = 5

// ReadingAsked is a reading and what it is to be compared with: a code of a
// family, or what is recorded for a model. What is empty was not given.
type ReadingAsked struct {
	Family     string
	PartNumber string // a board of the family
	Revision   string // of the board; its issue may decide between codes
	ModelKey
	Build   string
	Code    string            // as Family.ParseCode takes it
	Reading string            // as ParseReading takes it, or
	Ticks   map[string]string // by point, as ReadingOf takes it
}

// Verified is a reading compared with what it should be.
type Verified struct {
	Family  *PreparedFamily
	Model   ModelKey // for which the code is recorded; empty: a code alone was given
	Code    []string
	Pattern Pattern // recorded for the code; empty: none
	Reading Reading
	Verification
	// Predicted is what the code map expects the code to show, given only where
	// no pattern is recorded. It is never a fact.
	Predicted Prediction
	Stories   []Story // where it does not tally
	Trust     Trust
	Remarks   []string // sentences on how it was compared
}

// VerifyReading tells whether a reading tallies, and where it does not, how
// that may have come about: the one way of that question. What cannot be asked
// so is an error (CodeBadRequest) that names the field and what would do; an
// unknown model, board or family is one as well.
func VerifyReading(ctx context.Context, c Catalogue, asked ReadingAsked) (*Verified, error) {
	a := &comparison{asked: asked}
	if err := a.load(ctx, c); err != nil {
		return nil, err
	}
	v := &Verified{Family: a.family}
	if len(a.family.Readback) == 0 {
		return nil, nothingToRead()
	}
	var err error
	if v.Code, err = a.code(); err != nil {
		return nil, err
	}
	if v.Reading, err = asked.reading(a.family.Readback); err != nil {
		return nil, err
	}
	if err := a.choose(v); err != nil {
		return nil, err
	}
	return v, v.compare()
}

// reading is what was seen, in either of its forms.
func (a *ReadingAsked) reading(readback []string) (Reading, error) {
	switch {
	case a.Reading != "" && a.Ticks != nil:
		return "", badReading("the reading is given twice, as reading and as ticks; give it once")
	case a.Ticks != nil && len(readback) > 0:
		return ReadingOf(a.Ticks, readback)
	}
	return ParseReading(a.Reading, readback)
}

func (v *Verified) compare() (err error) {
	table := v.Family.Table
	v.Verification = table.Verify(v.Code, v.Pattern, v.Reading)
	v.Trust = table.Trust(v.Code, v.Pattern)
	if v.Pattern == "" {
		v.Predicted, err = v.Family.CodeMap().Predict(v.Code)
		return err
	}
	if v.Tally == DoesNotTally {
		v.Stories, err = table.Diagnose(v.Family.CodeMap(), v.Code, v.Pattern, v.Reading, storiesTold)
	}
	return err
}
