package standin

import (
	"context"
	"fmt"
	"strings"
)

// Tally is the answer to "did the configuration take?".
type Tally string

// The tallies.
const (
	Tallies       Tally = "tallies"        // every definite point was read, and as it must be
	Incomplete    Tally = "incomplete"     // nothing against it, but definite points are unread
	DoesNotTally  Tally = "does-not-tally" // some point is not as it must be
	ProvesNothing Tally = "proves-nothing" // no pattern is recorded, or none of its points is definite
)

// Caution is what follows for the machine where the code is not proved; else empty.
func (t Tally) Caution() string {
	if t == Tallies {
		return ""
	}
	return "The code is not proved: the machine must not go back into use like this."
}

// Verification is a reading compared with the pattern it should be.
type Verification struct {
	Tally      Tally
	Mismatches []PointMismatch // in reading order
	ToRead     []string        // definite points that are still unread
	// Alike are the settings of other codes that the reading does not contradict
	// either, where it does not contradict this one: it is not distinguishable
	// from them.
	Alike []Setting
	// Trials are the unread points that would exclude some of Alike, best first.
	Trials []Trial
	// Remedy says how it can be finished where points are unread or other codes
	// are not excluded; else empty.
	Remedy string
	Text   string // one sentence, or two where there are Alike
}

// PointMismatch is a point that is not as it must be.
type PointMismatch struct {
	Point          string
	Expected, Seen byte // '1', '0' or 'f', or a character of the point's alphabet
	// ExpectedWord and SeenWord are how people say them.
	ExpectedWord, SeenWord string
}

// Verify reports whether a reading tallies with the pattern of a code. The
// reading, the code and the pattern are of the table's family.
func (t *Table) Verify(code []string, pattern Pattern, reading Reading) Verification {
	v := Verification{Tally: Tallies}
	for _, i := range reading.Mismatches(pattern) {
		v.Mismatches = append(v.Mismatches, PointMismatch{t.Family.Readback[i], pattern[i], reading[i],
			t.Family.Shown(i, pattern[i]), t.Family.Shown(i, reading[i])})
	}
	for i := range len(pattern) {
		if pattern[i] != ShowsEither && reading[i] == NotRead {
			v.ToRead = append(v.ToRead, t.Family.Readback[i])
		}
	}
	switch {
	case pattern.Definite() == 0:
		v.Tally = ProvesNothing
	case len(v.Mismatches) > 0:
		v.Tally = DoesNotTally
	case len(v.ToRead) > 0:
		v.Tally = Incomplete
	}
	if v.Tally == Tallies || v.Tally == Incomplete {
		v.Alike = t.alike(code, string(reading))
		v.Trials = t.trials(code, pattern, reading, v.Alike)
		v.Remedy = v.remedy(t.Family.Method)
	}
	v.Text = v.sentence(pattern, reading)
	return v
}

// alike returns the settings of other codes whose pattern differs at no point from
// what is shown.
func (t *Table) alike(code []string, shows string) []Setting {
	var alike []Setting
	word, seen := strings.Join(code, " "), pack(shows)
	for i := range t.Settings {
		s := &t.Settings[i]
		if s.Pattern == "" || s.code == word {
			continue
		}
		if mismatches, _ := s.packed.compare(seen); mismatches == 0 {
			alike = append(alike, *s)
		}
	}
	return alike
}

func (v *Verification) sentence(pattern Pattern, reading Reading) string {
	switch v.Tally {
	case ProvesNothing:
		if pattern == "" {
			return "No pattern is recorded for this code: a reading cannot prove it."
		}
		return "The pattern recorded for this code holds for any reading: it proves nothing."
	case DoesNotTally:
		var wrong []string
		for _, m := range v.Mismatches {
			wrong = append(wrong, fmt.Sprintf("%s %s and must %s", m.Point, doesShow(m.SeenWord), mustShow(m.ExpectedWord)))
		}
		return "The reading does not tally: " + AndList(wrong) + "." + v.stillToRead()
	case Incomplete:
		if reading.Read() == 0 {
			return "No point was read: nothing is proved." + v.stillToRead()
		}
		return "Nothing read so far is against it, but it is not proved." + v.stillToRead() + notDistinguishable(neighbours(v.Alike), len(v.Alike))
	}
	return "The reading tallies." + notDistinguishable(neighbours(v.Alike), len(v.Alike))
}

func (v *Verification) stillToRead() string {
	if len(v.ToRead) == 0 {
		return ""
	}
	return " Still to read: " + AndList(v.ToRead) + "."
}

// notDistinguishable returns a further sentence that names the first few of the
// count settings that a reading or a pattern cannot be distinguished from.
func notDistinguishable(alike []Neighbour, count int) string {
	const most = 3
	if count == 0 {
		return ""
	}
	var names []string
	for i := range alike[:min(most, len(alike))] {
		names = append(names, alike[i].codeFor())
	}
	if more := count - most; more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	return " It is not distinguishable from " + AndList(names) + "."
}

// codeFor returns the code with the first of its models, for people.
func (n *Neighbour) codeFor() string {
	text := "the code " + strings.Join(n.Code, " ")
	if n.ModelCount > 0 {
		text += " (" + n.Models[0].String()
		if more := n.ModelCount - 1; more > 0 {
			text += fmt.Sprintf(" and %d more", more)
		}
		text += ")"
	}
	return text
}

// mostStories is how many stories are given with a reading that does not tally,
// not counting those that share the rank of the last.
const mostStories = 5

// ReadingAsked is a reading and what it is to be compared with: a code of a
// family, or what is recorded for a model. What is empty was not given.
type ReadingAsked struct {
	Family     string
	PartNumber string // a board of the family
	Revision   string // of the board; its issue may decide between codes
	ModelKey
	Build   string
	Code    string            // as Family.ParseCode takes it
	Reading string            // as Family.ParseReading takes it, or
	Ticks   map[string]string // by point, as Family.ReadingOf takes it
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

// VerifyReading reports whether a reading tallies, and where it does not, how
// that may have come about: the one way of that question. A question that cannot
// be answered as asked is an error (CodeBadRequest) that names the field and what
// to give instead; an unknown model, board or family is an error as well.
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
	if v.Reading, err = asked.reading(&a.family.Family); err != nil {
		return nil, err
	}
	if err := a.choose(v); err != nil {
		return nil, err
	}
	return v, v.compare()
}

// reading is what was seen, in either of its forms.
func (a *ReadingAsked) reading(f *Family) (Reading, error) {
	switch {
	case a.Reading != "" && a.Ticks != nil:
		return "", badReading("the reading is given twice, as reading and as ticks; give it once")
	case a.Ticks != nil && len(f.Readback) > 0:
		return f.ReadingOf(a.Ticks)
	}
	return f.ParseReading(a.Reading)
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
		v.Stories, err = table.Diagnose(v.Family.CodeMap(), v.Code, v.Pattern, v.Reading, mostStories)
	}
	return err
}
