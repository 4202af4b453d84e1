package standin

import (
	"context"
	"fmt"
	"strings"
)

// modelsTold is how many configurations of a setting are told with it at most.
const modelsTold = 50

// IdentifyAsked is a reading of a board of which nobody knows what it is set
// for. What is empty was not given.
type IdentifyAsked struct {
	Family     string // empty: any that reads so many points
	PartNumber string // a board of the family
	Reading    string // as ParseReading takes it, or
	Ticks      map[string]string
	Limit      int // settings told
}

// Identification is what a board may be set for, nearest first.
type Identification struct {
	Reading  Reading
	Family   *Family // that was given; nil: any
	Settings []IdentifiedIn
	Exact    int // settings in all that are as read
	Compared int // settings in all
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

// IdentifyReading tells what a board may be set for: the one way of that
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
	reading, err := seen.reading(f.Readback)
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

// readingOfAny reads a reading in the order of the points, as many as it has.
func readingOfAny(text string) (Reading, error) {
	if strings.ContainsAny(text, "=:") {
		return "", badAsked("family", "the names of points are those of a family; give family or part_number, or the reading in the order of the points")
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;\t\r\n", r) })
	points := len(words)
	if joined := strings.ToLower(strings.Join(words, "")); strings.Trim(joined, "10f?-") == "" {
		points = len(joined)
	}
	reading, err := ParseReading(text, make([]string, max(1, points)))
	if err == nil && reading.Read() == 0 {
		err = nothingRead()
	}
	return reading, err
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

// Told are the models told with a setting, each once, fifty at most.
func (s *IdentifiedIn) Told() []ModelKey {
	models := s.Models()
	return models[:min(modelsTold, len(models))]
}
