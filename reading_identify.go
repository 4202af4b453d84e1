package standin

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// Identified is a setting compared with a reading.
type Identified struct {
	Setting
	Exact    bool     // no mismatch, and some point counts
	Differs  []string // points at which it is not as read
	Counting int      // points at which both say something
}

// Identify returns what a board of the family may be set for: every setting with
// a pattern, by mismatches, then by more counting points, then by code; equal
// code and pattern are one. The list is not cut to those worth believing: a
// setting that is not Exact is near at best. A reading with no point read is an
// error (CodeBadRequest, field reading).
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

// modelsListed is how many configurations of a setting are given with it at most.
const modelsListed = 50

// IdentifyAsked is a reading of a board of which nobody knows what it is set
// for. What is empty was not given.
type IdentifyAsked struct {
	Family     string // empty: any that has as many points as the reading
	PartNumber string // a board of the family
	Reading    string // as Family.ParseReading takes it, or
	Ticks      map[string]string
	Limit      int // settings to return
}

// Identification is what a board may be set for, nearest first.
type Identification struct {
	Reading  Reading
	Family   *Family // that was given; nil: any
	Settings []IdentifiedIn
	Exact    int // settings that are as read, not only those listed
	Compared int // settings compared
	Text     string
}

// IdentifiedIn is a setting of a family compared with a reading. Of its
// configurations the first fifty are there.
type IdentifiedIn struct {
	Identified
	Family *Family
	Count  int // configurations in all
}

// NearSettings are the settings of any family whose patterns are nearest to a
// reading.
type NearSettings struct {
	Settings []NearSetting // by mismatches, then by more counting points
	Exact    int           // settings in all without a mismatch, where some point counts
	Compared int           // settings in all with as many points
}

// NearSetting is a setting with its family. Of its configurations the first
// fifty are there.
type NearSetting struct {
	Setting
	Family *Family
	Count  int // configurations in all
}

// IdentifyReading answers what a board may be set for: the one way of that
// question. A reading that cannot be read is an error (CodeBadRequest).
func IdentifyReading(ctx context.Context, c Catalogue, asked IdentifyAsked) (*Identification, error) {
	name := asked.Family
	if asked.PartNumber != "" {
		a := &comparison{asked: ReadingAsked{Family: asked.Family, PartNumber: asked.PartNumber}}
		var err error
		if name, err = a.familyOfBoard(ctx, c); err != nil {
			return nil, err
		}
	}
	var i *Identification
	var err error
	if name != "" {
		i, err = identifyInFamily(ctx, c, name, asked)
	} else {
		i, err = identifyInAny(ctx, c, asked)
	}
	if err != nil {
		return nil, err
	}
	i.Text = i.sentence()
	return i, nil
}

func identifyInFamily(ctx context.Context, c Catalogue, name string, asked IdentifyAsked) (*Identification, error) {
	f, err := c.PreparedFamily(ctx, name)
	if err != nil {
		return nil, err
	}
	seen := ReadingAsked{Reading: asked.Reading, Ticks: asked.Ticks}
	reading, err := seen.reading(&f.Family)
	if err != nil {
		return nil, err
	}
	all, err := f.Table.Identify(reading)
	if err != nil {
		return nil, err
	}
	i := &Identification{Reading: reading, Family: &f.Family, Compared: len(all)}
	for n := range all {
		if all[n].Exact {
			i.Exact++
		}
		if n < asked.Limit {
			i.Settings = append(i.Settings, IdentifiedIn{all[n], &f.Family, len(all[n].Configurations)})
		}
	}
	return i, nil
}

func identifyInAny(ctx context.Context, c Catalogue, asked IdentifyAsked) (*Identification, error) {
	if asked.Ticks != nil {
		return nil, badAsked("family", "the names of points are those of a family; give family or part_number, or the reading in the order of the points")
	}
	reading, err := readingOfAny(asked.Reading)
	if err != nil {
		return nil, err
	}
	near, err := c.SettingsNear(ctx, reading, asked.Limit)
	if err != nil {
		return nil, err
	}
	i := &Identification{Reading: reading, Exact: near.Exact, Compared: near.Compared}
	for _, s := range near.Settings {
		found := IdentifiedIn{Identified{Setting: s.Setting}, s.Family, s.Count}
		for _, point := range reading.Mismatches(s.Pattern) {
			found.Differs = append(found.Differs, s.Family.Readback[point])
		}
		_, found.Counting = packPattern(s.Pattern).compare(pack(string(reading)))
		found.Exact = len(found.Differs) == 0 && found.Counting > 0
		i.Settings = append(i.Settings, found)
	}
	return i, nil
}

// readingOfAny reads a reading of a family that is not known: in the order of the
// points, as many as it gives.
func readingOfAny(text string) (Reading, error) {
	if strings.ContainsAny(text, "=:") {
		return "", badAsked("family", "the names of points are those of a family; give family or part_number, or the reading in the order of the points")
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;\t\r\n", r) })
	points := Family{}
	joined := strings.Join(words, "")
	switch {
	case strings.Trim(strings.ToLower(joined), "10f?-") == "":
		points.Readback = make([]string, max(1, len(joined)))
	case len(joined) == len(words) || len(words) == 1: // one character per point, of whatever alphabets
		return readingAsTyped(joined)
	default:
		points.Readback = make([]string, len(words))
	}
	reading, err := points.ParseReading(text)
	if err == nil && reading.Read() == 0 {
		err = nothingRead()
	}
	return reading, err
}

// readingAsTyped takes characters of any alphabet. Case counts: a letter of a sign
// is a capital, a colour is not.
func readingAsTyped(characters string) (Reading, error) {
	reading := []byte(characters)
	for i, c := range reading {
		switch {
		case c == ShowsEither:
			reading[i] = NotRead
		case c != NotRead && strings.IndexByte(shownNumbers, c) < 0:
			return "", badReading("%q is nothing a point can show; write the reading as %s", string(c), ReadingForms)
		}
	}
	return Reading(reading), nil
}

func (i *Identification) sentence() string {
	switch {
	case i.Compared == 0 && i.Family != nil:
		return fmt.Sprintf("No pattern is recorded for family %s: nothing can be told from a reading.", i.Family.Name)
	case i.Compared == 0:
		return fmt.Sprintf("No recorded pattern has %s.", countOf(len(i.Reading), "point"))
	case i.Exact == 0:
		return "Nothing recorded is as read; the nearest are told with the points at which they differ, and none of them is sure."
	}
	text := "One recorded setting is as read."
	if i.Exact > 1 {
		text = fmt.Sprintf("%d recorded settings are as read; the reading does not tell which it is.", i.Exact)
	}
	switch unread := len(i.Reading) - i.Reading.Read(); unread {
	case 0:
	case 1:
		text += " 1 point was not read."
	default:
		text += fmt.Sprintf(" %d points were not read.", unread)
	}
	return text
}

// FirstModels returns the models of a setting, each once, fifty at most.
func (s *IdentifiedIn) FirstModels() []ModelKey {
	models := s.Models()
	return models[:min(modelsListed, len(models))]
}

// PatternIndex finds, among the recorded patterns of many families, those
// nearest to a reading. It keeps each different pattern once, as bit masks, so
// that a million configurations are looked through in a few milliseconds.
// Add must not be called concurrently; once filled it is safe for concurrent use.
//
// A pattern is added with a number of the caller's choice, such as that of a row
// of the store.
type PatternIndex struct {
	byLength map[int]*patternList
	at       map[Pattern]int // place in its list
}

// patternList is the different patterns with one number of points, in the order
// they were added. The words of a pattern follow each other.
type patternList struct {
	patterns []Pattern
	words    []packedWord
	further  []furtherWord // nil while every point is a lamp
	rows     [][]int64
}

// NewPatternIndex returns an empty index.
func NewPatternIndex() *PatternIndex {
	return &PatternIndex{byLength: map[int]*patternList{}, at: map[Pattern]int{}}
}

// Add puts a row with a recorded pattern into the index. An empty pattern is
// left out: nothing is recorded to compare.
func (x *PatternIndex) Add(p Pattern, row int64) {
	if p == "" {
		return
	}
	list := x.byLength[len(p)]
	if list == nil {
		list = &patternList{}
		x.byLength[len(p)] = list
	}
	at, seen := x.at[p]
	if !seen {
		at = len(list.patterns)
		x.at[p] = at
		list.patterns = append(list.patterns, p)
		list.append(packPattern(p))
		list.rows = append(list.rows, nil)
	}
	list.rows[at] = append(list.rows[at], row)
}

func (l *patternList) append(p packed) {
	before := len(l.words)
	l.words = append(l.words, p.words...)
	if p.further != nil && l.further == nil {
		l.further = make([]furtherWord, before)
	}
	switch {
	case p.further != nil:
		l.further = append(l.further, p.further...)
	case l.further != nil:
		l.further = append(l.further, make([]furtherWord, len(p.words))...)
	}
}

// at returns the pattern at an index, which has as many words as the reading.
func (l *patternList) at(i, words int) packed {
	p := packed{words: l.words[i*words : (i+1)*words]}
	if l.further != nil {
		p.further = l.further[i*words : (i+1)*words]
	}
	return p
}

// NearPattern is a recorded pattern with the rows that have it, compared with a
// reading.
type NearPattern struct {
	Pattern    Pattern
	Rows       []int64 // in the order they were added
	Mismatches int
	Counting   int // points at which both say something
}

// Nearest is what an index has near a reading.
type Nearest struct {
	Patterns []NearPattern // by mismatches, then by more counting points
	Exact    int           // rows in the whole index without a mismatch, where some point counts
	Rows     int           // rows in the whole index with as many points
}

// Nearest looks up the patterns nearest to a reading with as many points, until
// they have limit rows; the last pattern is not cut short. A reading with no
// point read is an error (CodeBadRequest, field reading).
func (x *PatternIndex) Nearest(reading Reading, limit int) (Nearest, error) {
	if reading.Read() == 0 {
		return Nearest{}, nothingRead()
	}
	list := x.byLength[len(reading)]
	if list == nil {
		return Nearest{}, nil
	}
	n := nearness{len(reading)}
	ranks := list.rank(reading, n)
	inRank := make([]int, n.rank(n.points, 0)+1) // rows
	nearest := Nearest{}
	for i, r := range ranks {
		inRank[r] += len(list.rows[i])
		nearest.Rows += len(list.rows[i])
	}
	for r := range n.rank(0, 0) {
		nearest.Exact += inRank[r]
	}
	nearest.Patterns = list.upTo(lastRank(inRank, limit), limit, ranks, n)
	return nearest, nil
}

// lastRank is the rank that reaches the limit of rows.
func lastRank(inRank []int, limit int) int {
	rows := 0
	for r, n := range inRank {
		if rows += n; rows >= limit {
			return r
		}
	}
	return len(inRank) - 1
}

// upTo returns the patterns up to a rank, nearest first, until the limit of rows is
// reached.
func (l *patternList) upTo(last, limit int, ranks []uint32, n nearness) []NearPattern {
	var near []NearPattern
	for i, r := range ranks {
		if int(r) <= last {
			near = append(near, NearPattern{l.patterns[i], l.rows[i], n.mismatches(int(r)), n.counting(int(r))})
		}
	}
	slices.SortStableFunc(near, func(a, b NearPattern) int {
		return n.rank(a.Mismatches, a.Counting) - n.rank(b.Mismatches, b.Counting)
	})
	rows := 0
	for i := range near {
		if rows >= limit {
			return near[:i]
		}
		rows += len(near[i].Rows)
	}
	return near
}

// nearness ranks how near a pattern is to a reading with this many points: by
// mismatches, then by more counting points.
type nearness struct{ points int }

func (n nearness) rank(mismatches, counting int) int {
	return mismatches*(n.points+1) + n.points - counting
}
func (n nearness) mismatches(rank int) int { return rank / (n.points + 1) }
func (n nearness) counting(rank int) int   { return n.points - rank%(n.points+1) }

// rank returns the rank of each pattern.
func (l *patternList) rank(reading Reading, n nearness) []uint32 {
	seen := pack(string(reading))
	ranks := make([]uint32, len(l.patterns))
	if len(seen.words) == 1 && seen.further == nil && l.further == nil {
		for i := range l.words {
			ranks[i] = uint32(n.rank(l.words[i].compare(&seen.words[0])))
		}
		return ranks
	}
	for i := range l.patterns {
		ranks[i] = uint32(n.rank(l.at(i, len(seen.words)).compare(seen)))
	}
	return ranks
}

func nothingRead() error {
	return badReading("no point was read; write what was seen as %s", ReadingForms)
}
