package standin

import (
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
	Text  string // one sentence, or two where there are Alike
}

// PointMismatch is a point that is not as it must be.
type PointMismatch struct {
	Point          string
	Expected, Seen byte // '1', '0' or 'f'
}

// Verify tells whether a reading tallies with the pattern of a code. The
// reading, the code and the pattern are of the table's family.
func (t *Table) Verify(code []string, pattern Pattern, reading Reading) Verification {
	v := Verification{Tally: Tallies}
	for _, i := range reading.Mismatches(pattern) {
		v.Mismatches = append(v.Mismatches, PointMismatch{t.Family.Readback[i], pattern[i], reading[i]})
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
	}
	v.Text = v.sentence(pattern, reading)
	return v
}

// alike are the settings of other codes with a pattern that differs at no point
// from what is shown.
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
			wrong = append(wrong, fmt.Sprintf("%s is %s and must be %s", m.Point, shown(m.Seen), shown(m.Expected)))
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

// notDistinguishable names the first few of so many settings that a reading or a
// pattern cannot be told from, as a further sentence.
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

// codeFor is the code with the first of its models, for people.
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
