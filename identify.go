package standin

import "slices"

// Identified is a setting compared with a reading.
type Identified struct {
	Setting
	Exact    bool     // no mismatch, and some point counts
	Differs  []string // points at which it is not as read
	Counting int      // points at which both say something
}

// Identify tells what a board of the family may be set for: every setting with
// a pattern, by mismatches, then by more counting points, then by code; equal
// code and pattern are one. It is not told how few may be believed: a setting
// that is not Exact is near at best. A reading with no point read is an error
// (CodeBadRequest, field reading).
func (t *Table) Identify(reading Reading) ([]Identified, error) {
	if reading.Read() == 0 {
		return nil, nothingRead()
	}
	var all []Identified
	seen := pack(string(reading))
	for i := range t.Settings {
		s := &t.Settings[i]
		if s.Pattern == "" {
			continue
		}
		mismatches, counting := s.packed.compare(seen)
		all = append(all, Identified{Setting: *s, Exact: mismatches == 0 && counting > 0,
			Differs: t.pointNames(reading.Mismatches(s.Pattern)), Counting: counting})
	}
	slices.SortStableFunc(all, func(a, b Identified) int {
		if order := len(a.Differs) - len(b.Differs); order != 0 {
			return order
		}
		return b.Counting - a.Counting
	})
	return all, nil
}
