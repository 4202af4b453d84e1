package standin

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"
)

// How many of the settings nearest to a pattern are listed, and how many of the
// models of each; the others are counted only.
const (
	nearestListed   = 5
	ModelsOfNearest = 20
)

// Trust is how far the pattern of a code can be trusted to tell it from the
// other codes of the family.
type Trust struct {
	// Distance is the fewest points at which another code's recorded pattern
	// differs. Not known: no other code has a pattern recorded, or this one has
	// none. With a distance d, d − 1 misreadings are noticed (Hamming, Error
	// detecting and error correcting codes, Bell System Technical Journal 29(2),
	// 1950).
	Distance     Maybe[int]
	Nearest      []Neighbour // the first settings at that distance; at 0 those it cannot be told from
	NearestCount int         // how many there are
	// Unrecorded is the number of other codes without a pattern: how far they
	// are is not known.
	Unrecorded int
	Text       string
}

// Neighbour is a setting of another code, with the first of its models.
type Neighbour struct {
	Code       []string
	Pattern    Pattern
	Models     []ModelKey
	ModelCount int // how many there are
}

// NewTrust returns the trust in a pattern as a store keeps it, with its text.
func NewTrust(pattern Pattern, t Trust) Trust {
	t.Text = t.sentence(pattern)
	return t
}

// Trust is how far a pattern of a code can be trusted. An either differs from
// nothing.
func (t *Table) Trust(code []string, pattern Pattern) Trust {
	near := t.near(strings.Join(code, " "), pattern)
	trust := Trust{Distance: near.distance, NearestCount: near.count, Unrecorded: near.unrecorded}
	for _, place := range near.places {
		trust.Nearest = append(trust.Nearest, t.Settings[place].neighbour())
	}
	return NewTrust(pattern, trust)
}

func (s *Setting) neighbour() Neighbour {
	n := Neighbour{Code: s.Code, Pattern: s.Pattern}
	n.Models, n.ModelCount = s.firstModels()
	return n
}

// firstModels returns the models that are listed, each once, and how many there
// are.
func (s *Setting) firstModels() (first []ModelKey, count int) {
	if len(s.Configurations) == 1 { // as most are
		return []ModelKey{s.Configurations[0].Model}, 1
	}
	seen := make(map[ModelKey]bool, len(s.Configurations))
	for i := range s.Configurations {
		if m := s.Configurations[i].Model; !seen[m] {
			seen[m] = true
			if len(first) < ModelsOfNearest {
				first = append(first, m)
			}
		}
	}
	return first, len(seen)
}

// SettingTrust is how far the pattern of a recorded setting can be trusted, as
// a store keeps it: the other settings are given by their keys.
type SettingTrust struct {
	SettingKey
	Models       []ModelKey // that are listed where it is near to another
	ModelCount   int
	Distance     Maybe[int]
	Nearest      []SettingKey
	NearestCount int
	// AlsoUnrecorded is set where the code is recorded without a pattern too: it is
	// then not one of the other codes that Unrecorded counts.
	AlsoUnrecorded bool
}

// SettingKey identifies a setting of a family. Code has the symbols separated by
// spaces.
type SettingKey struct {
	Code    string
	Pattern Pattern
}

// Trusts returns the settings with a pattern, in the order of the table, each with
// how far its pattern can be trusted.
func (t *Table) Trusts() iter.Seq[SettingTrust] {
	return func(yield func(SettingTrust) bool) {
		for _, place := range t.patterns.places {
			s := &t.Settings[place]
			near := t.near(s.code, s.Pattern)
			trust := SettingTrust{SettingKey: s.key(), Distance: near.distance, NearestCount: near.count, AlsoUnrecorded: t.unrecorded[s.code]}
			trust.Models, trust.ModelCount = s.firstModels()
			for _, other := range near.places {
				trust.Nearest = append(trust.Nearest, t.Settings[other].key())
			}
			if !yield(trust) {
				return
			}
		}
	}
}

func (s *Setting) key() SettingKey { return SettingKey{s.code, s.Pattern} }

// Unrecorded is how many codes are recorded without a pattern.
func (t *Table) Unrecorded() int { return len(t.unrecorded) }

// near is what is nearest to a pattern in a table.
type near struct {
	distance   Maybe[int]
	places     []int32 // of the first settings at that distance
	count      int
	unrecorded int // codes without a pattern
}

// near finds the settings of other codes that are nearest to a pattern.
func (t *Table) near(code string, pattern Pattern) near {
	n := near{unrecorded: len(t.unrecorded)}
	if t.unrecorded[code] {
		n.unrecorded--
	}
	own := packPattern(pattern)
	if pattern == "" || len(own.words) != t.patterns.size {
		return n
	}
	most := len(pattern)
	for i := t.patterns.within(own, 0, most); i >= 0; i = t.patterns.within(own, i+1, most) {
		place := t.patterns.places[i]
		if t.Settings[place].code == code {
			continue
		}
		if d := t.patterns.distance(i, own); !n.distance.Known || d < most {
			most = d
			n = near{Known(d), n.places[:0], 0, n.unrecorded}
		}
		if n.count++; len(n.places) < nearestListed {
			n.places = append(n.places, place)
		}
	}
	return n
}

// patternRows are the patterns of a table one after the other, for comparing
// them all with one.
type patternRows struct {
	size    int           // words of a pattern
	words   []packedWord  // of one after the other
	further []furtherWord // likewise; nil where every point is a lamp in every one
	places  []int32       // of their settings
}

func (r *patternRows) add(p packed, place int) {
	r.size = len(p.words)
	if p.further != nil && r.further == nil {
		r.further = make([]furtherWord, len(r.words))
	}
	r.words = append(r.words, p.words...)
	if r.further != nil {
		for i := range p.words {
			r.further = append(r.further, p.furtherWord(i))
		}
	}
	r.places = append(r.places, int32(place))
}

func (r *patternRows) row(i int) packed {
	p := packed{words: r.words[i*r.size : (i+1)*r.size]}
	if r.further != nil {
		p.further = r.further[i*r.size : (i+1)*r.size]
	}
	return p
}

func (r *patternRows) distance(i int, own packed) int {
	d, _ := r.row(i).compare(own)
	return d
}

// within returns the first row, from an index on, whose distance from a pattern is
// at most the given one, or -1.
func (r *patternRows) within(own packed, from, most int) int {
	if r.size == 1 && r.further == nil && own.further == nil { // as nearly all are
		q := own.words[0]
		for i, p := range r.words[min(from, len(r.words)):] {
			if p.differing(q) <= most {
				return from + i
			}
		}
		return -1
	}
	for i := from; i < len(r.places); i++ {
		if r.distance(i, own) <= most {
			return i
		}
	}
	return -1
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
		return "The pattern does not prove this code." + notDistinguishable(u.Nearest, u.NearestCount)
	case u.Distance.V == 1:
		return "One misread point can hide a wrong code."
	}
	return "Up to " + countOf(u.Distance.V-1, "misread point") + " would be noticed."
}

// neighbours returns the settings that are listed, as neighbours.
func neighbours(settings []Setting) []Neighbour {
	var listed []Neighbour
	for i := range settings[:min(nearestListed, len(settings))] {
		listed = append(listed, settings[i].neighbour())
	}
	return slices.Clip(listed)
}

// FamilyTrust is how far the patterns of a family tell its codes apart.
type FamilyTrust struct {
	Recorded   int             // settings with a pattern
	Unrecorded int             // settings without
	ByDistance []DistanceCount // ascending
	Text       string
}

// DistanceCount is how many settings are at this distance from the nearest pattern
// of another code.
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

// trusts are how far patterns can be trusted, each worked out once for however
// many machines.
type trusts struct {
	catalogue Catalogue
	families  map[string]*PreparedFamily // nil: it has gone meanwhile
	known     map[[3]string]*Trust       // by family, code and pattern
}

func newTrusts(c Catalogue) *trusts {
	return &trusts{c, map[string]*PreparedFamily{}, map[[3]string]*Trust{}}
}

// addTo sets how far the patterns in the answers can be trusted, where the store
// does not keep it.
func (t *trusts) addTo(ctx context.Context, results []Result) error {
	for _, r := range results {
		if r.Answer == nil {
			continue
		}
		for i := range r.Answer.Candidates {
			builds := r.Answer.Candidates[i].Builds
			for j := range builds {
				proof := builds[j].Proved()
				if proof.Pattern == "" || builds[j].Trust != nil {
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
