package standin

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

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

// Trust returns how far a pattern of a code can be trusted. An either differs
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

// FamilyTrust returns how far the patterns of the table tell its codes apart.
func (t *Table) FamilyTrust() FamilyTrust {
	trust, counts := FamilyTrust{}, map[int]int{}
	for i := range t.Settings {
		s := &t.Settings[i]
		if s.Pattern == "" {
			trust.Unrecorded++
			continue
		}
		trust.Recorded++
		if d := t.Trust(s.Code, s.Pattern).Distance; d.Known {
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

// trusts are how far patterns can be trusted, each worked out once for however
// many machines.
type trusts struct {
	catalogue Catalogue
	families  map[string]*PreparedFamily // nil: it has gone meanwhile
	known     map[[3]string]*Trust       // by family, code and pattern
}

// addTrust sets how far the patterns in the answers can be trusted.
func addTrust(ctx context.Context, c Catalogue, results []Result) error {
	t := &trusts{c, map[string]*PreparedFamily{}, map[[3]string]*Trust{}}
	for _, r := range results {
		if r.Answer == nil {
			continue
		}
		for i := range r.Answer.Candidates {
			builds := r.Answer.Candidates[i].Builds
			for j := range builds {
				proof := builds[j].Proved()
				if proof.Pattern == "" {
					continue
				}
				if err := t.add(ctx, &builds[j], proof.Code, proof.Pattern); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (t *trusts) add(ctx context.Context, b *BuildAnswer, code []string, pattern Pattern) error {
	key := [3]string{b.Family, strings.Join(code, " "), string(pattern)}
	if trust, known := t.known[key]; known {
		b.Trust = trust
		return nil
	}
	f, err := t.family(ctx, b.Family)
	if err != nil {
		return err
	}
	if f != nil {
		trust := f.Table.Trust(code, pattern)
		b.Trust = &trust
	}
	t.known[key] = b.Trust
	return nil
}

func (t *trusts) family(ctx context.Context, name string) (*PreparedFamily, error) {
	if f, known := t.families[name]; known {
		return f, nil
	}
	f, err := t.catalogue.PreparedFamily(ctx, name)
	if err != nil && CodeOf(err) != CodeNotFound {
		return nil, err
	}
	t.families[name] = f
	return f, nil
}
