package standin

import (
	"fmt"
	"slices"
)

// FamilyTrust is how far the patterns of a family tell its codes apart.
type FamilyTrust struct {
	Recorded   int             // settings with a pattern
	Unrecorded int             // settings without
	ByDistance []DistanceCount // ascending
	Text       string
}

// DistanceCount is how many settings have so many points between them and the
// nearest pattern of another code.
type DistanceCount struct{ Distance, Settings int }

// FamilyTrust tells how far the patterns of the table tell its codes apart.
func (t *Table) FamilyTrust() FamilyTrust {
	trust, counts := FamilyTrust{}, map[int]int{}
	for i := range t.Settings {
		s := &t.Settings[i]
		if s.Pattern == "" {
			trust.Unrecorded++
			continue
		}
		trust.Recorded++
		if d := t.near(s.code, s.Pattern).distance; d.Known {
			counts[d.V]++
		}
	}
	for distance, settings := range counts {
		trust.ByDistance = append(trust.ByDistance, DistanceCount{distance, settings})
	}
	slices.SortFunc(trust.ByDistance, func(a, b DistanceCount) int { return a.Distance - b.Distance })
	trust.Text = trust.sentence()
	return trust
}

func (u *FamilyTrust) sentence() string {
	if u.Recorded == 0 {
		return "No pattern is recorded: no code can be proved by reading it back."
	}
	if len(u.ByDistance) == 0 {
		return "Only one code has a pattern recorded: there is nothing to tell it from."
	}
	text := fmt.Sprintf("Every pattern differs from those of other codes at %d points or more.", u.ByDistance[0].Distance)
	switch least := u.ByDistance[0]; least.Distance {
	case 0:
		text = fmt.Sprintf("The patterns of %d of %s do not prove the code: another code shows the same.", least.Settings, countOf(u.Recorded, "setting"))
	case 1:
		text = fmt.Sprintf("With %d of %s one misread point can hide a wrong code.", least.Settings, countOf(u.Recorded, "setting"))
	}
	if u.Unrecorded > 0 {
		text += fmt.Sprintf(" Settings without a pattern: %d.", u.Unrecorded)
	}
	return text
}
