package standin

import "strings"

// Trust is how far the pattern of a code can be trusted to tell it from the
// other codes of the family.
type Trust struct {
	// Distance is the fewest points at which another code's recorded pattern
	// differs. Not known: no other code has a pattern recorded, or this one has
	// none. With a distance d, d − 1 misreadings are noticed (Hamming, Error
	// detecting and error correcting codes, Bell System Technical Journal 29(2),
	// 1950).
	Distance Maybe[int]
	Nearest  []Setting // the settings at that distance; at 0 those it cannot be told from
	// Unrecorded is the number of other codes without a pattern: how far they
	// are is not known.
	Unrecorded int
	Text       string
}

// Trust tells how far a pattern of a code can be trusted. An either differs
// from nothing.
func (t *Table) Trust(code []string, pattern Pattern) Trust {
	trust := Trust{}
	word, own := strings.Join(code, " "), packPattern(pattern)
	for i := range t.Settings {
		switch s := &t.Settings[i]; {
		case s.code == word:
		case s.Pattern == "":
			trust.Unrecorded++
		case pattern != "":
			trust.consider(s, own)
		}
	}
	trust.Text = trust.sentence(pattern)
	return trust
}

func (u *Trust) consider(s *Setting, own packed) {
	distance, _ := s.packed.compare(own)
	switch {
	case u.Distance.Known && distance > u.Distance.V:
		return
	case !u.Distance.Known || distance < u.Distance.V:
		u.Distance, u.Nearest = Known(distance), nil
	}
	u.Nearest = append(u.Nearest, *s)
}

func (u *Trust) sentence(pattern Pattern) string {
	text := u.distanceSentence(pattern)
	switch u.Unrecorded {
	case 0:
		return text
	case 1:
		return text + " 1 other code has no pattern recorded: how far it is, is not known."
	}
	return text + " " + countOf(u.Unrecorded, "other code") + " have no pattern recorded: how far they are is not known."
}

func (u *Trust) distanceSentence(pattern Pattern) string {
	switch {
	case pattern == "":
		return "No pattern is recorded for this code."
	case pattern.Definite() == 0:
		return "The pattern holds for any reading: it proves nothing."
	case !u.Distance.Known:
		return "No other code of the family has a pattern to compare it with."
	case u.Distance.V == 0:
		return "The pattern does not prove this code." + notDistinguishable(u.Nearest)
	case u.Distance.V == 1:
		return "One misread point can hide a wrong code."
	}
	return "Up to " + countOf(u.Distance.V-1, "misread point") + " would be noticed."
}
