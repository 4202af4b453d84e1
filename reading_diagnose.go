package standin

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// StoryKind is what a story says went wrong, points misread apart.
type StoryKind string

// The kinds of story.
const (
	OnlyMisread     StoryKind = "misread"       // the code is right, points were misread
	WrongSymbol     StoryKind = "wrong-symbol"  // one symbol of the code
	Exchanged       StoryKind = "exchanged"     // two neighbouring symbols
	EnteredTwice    StoryKind = "entered-twice" // a symbol, the last then fell off
	LeftOut         StoryKind = "left-out"      // a symbol, the next entered made up the length
	OtherModel      StoryKind = "other-model"   // a recorded code of another model
	MisprintedChart StoryKind = "misprinted"    // code and reading are right, the recorded pattern is not
)

// Story is one way in which a reading that does not tally may have come about.
// It is likely at best.
type Story struct {
	Kind    StoryKind
	Rank    int      // from 1; stories with the same rank cannot be told apart
	Place   int      // of the code, from 1, at which it went wrong; 0: not one place
	Entered []string // the code probably entered; "" where a symbol is not known
	// Expected is what the story would show: as recorded, or as the code map
	// predicts where Predicted.
	Expected  Prediction
	Predicted bool
	Misread   []string   // points misread besides
	Models    []ModelKey // of the code entered, where it is recorded
	// Unproven is set where no recorded configuration has this symbol at this
	// place, so that it is hardly known what it would show.
	Unproven bool
	Cost     float64 // the sum of its slips; less is likelier
	Text     string  // one sentence
}

// Diagnose returns the likeliest stories, best first, of how a reading came about
// that does not tally with the pattern of the code that was meant; none where it
// tallies. It returns at most limit stories (0: all), and those that share the
// rank of the last one. The map is the table's own. A code that is not the
// family's is an error (CodeBadRequest).
func (t *Table) Diagnose(m *CodeMap, code []string, pattern Pattern, reading Reading, limit int) ([]Story, error) {
	if err := t.Family.CheckCode(code); err != nil {
		return nil, err
	}
	if len(reading.Mismatches(pattern)) == 0 {
		return nil, nil
	}
	d := diagnosis{table: t, codeMap: m, meant: code, dialled: t.onDial(code), pattern: pattern, reading: reading, seen: pack(string(reading))}
	stories := d.codeRight()
	for _, slip := range d.slips() {
		stories = append(stories, d.storiesOf(slip)...)
	}
	slices.SortStableFunc(stories, func(a, b Story) int { return cmp.Compare(a.Cost, b.Cost) })
	rank(stories)
	stories = upToRank(stories, limit)
	for i := range stories {
		stories[i].Text = d.sentence(&stories[i])
	}
	return stories, nil
}

// rank numbers the stories; those that cost the same share a rank.
func rank(stories []Story) {
	for i := range stories {
		stories[i].Rank = i + 1
		if i > 0 && stories[i].Cost-stories[i-1].Cost < sameCost {
			stories[i].Rank = stories[i-1].Rank
		}
	}
}

// upToRank cuts ranked stories at a limit (0: none), but not between equals.
func upToRank(stories []Story, limit int) []Story {
	if limit == 0 || limit >= len(stories) {
		return stories
	}
	for limit < len(stories) && stories[limit].Rank == stories[limit-1].Rank {
		limit++
	}
	return stories[:limit]
}

// diagnosis is one case under consideration.
type diagnosis struct {
	table   *Table
	codeMap *CodeMap
	meant   []string
	dialled []int32 // meant, as places on the dial
	pattern Pattern
	reading Reading
	seen    packed // the reading
}

// codeRight are the stories in which the code was entered as meant.
func (d *diagnosis) codeRight() []Story {
	var stories []Story
	differ := d.reading.Mismatches(d.pattern)
	if len(differ) <= mostMisreadAlone {
		stories = append(stories, d.finish(Story{Kind: OnlyMisread, Expected: Prediction(d.pattern)}, differ))
	}
	predicted := d.codeMap.predict(d.dialled)
	if d.expects(predicted, differ) {
		stories = append(stories, d.finish(Story{Kind: MisprintedChart, Cost: costMisprinted, Expected: predicted,
			Predicted: true, Misread: d.table.pointNames(differ)}, nil))
	}
	return stories
}

// expects reports whether the prediction knows these points and agrees with the
// reading everywhere.
func (d *diagnosis) expects(predicted Prediction, points []int) bool {
	unknown := func(i int) bool { return predicted[i] == NotRead }
	return !slices.ContainsFunc(points, unknown) && len(d.reading.Mismatches(asPattern(predicted))) == 0
}

// asPattern returns a prediction as a pattern, with either where it does not know.
func asPattern(p Prediction) Pattern {
	return Pattern(strings.ReplaceAll(string(p), string(NotRead), string(ShowsEither)))
}

// storiesOf returns the stories of a slip: one for each pattern that is recorded
// for the code entered, else one from the code map. A story that the reading
// contradicts at more points than may be misread is left out.
func (d *diagnosis) storiesOf(s slip) []Story {
	story := Story{Kind: s.kind, Place: s.place, Cost: s.cost}
	var stories []Story
	add := func() {
		differ := d.reading.Mismatches(asPattern(story.Expected))
		if len(differ) <= mostMisread && !(story.Unproven && len(differ) > 0) {
			story.Entered = d.table.symbolsOf(s.code)
			stories = append(stories, d.finish(story, differ))
		}
	}
	settings := d.table.settingsOf(s.code)
	for i := range settings {
		if settings[i].Pattern != "" {
			story.Expected = Prediction(settings[i].Pattern)
			add()
		}
	}
	if story.Expected == "" {
		story.Expected, story.Predicted = d.codeMap.predict(s.code), true
		if d.unseen(s) {
			story.Unproven = true
			story.Cost += costUnseen
		}
		add()
	}
	for i := range stories {
		for j := range settings {
			stories[i].Models = append(stories[i].Models, settings[j].Models()...)
		}
	}
	return stories
}

// tooFar reports whether what the code map knows of a code contradicts the reading
// at more points than may be misread.
func (d *diagnosis) tooFar(code []int32) bool {
	differ := 0
	for i := range d.codeMap.Points {
		shows := d.codeMap.Points[i].at(code)
		if shows != NotRead && d.reading[i] != NotRead && shows != d.reading[i] {
			differ++
		}
	}
	return differ > mostMisread
}

// unseen reports whether a slip puts a symbol where no row has it.
func (d *diagnosis) unseen(s slip) bool {
	for i, symbol := range s.code {
		if symbol != noSymbol && symbol != d.dialled[i] && !d.table.wasSeen(i, symbol) {
			return true
		}
	}
	return false
}

// finish adds the cost of the points misread and of those not known.
func (d *diagnosis) finish(s Story, misread []int) Story {
	if s.Entered == nil {
		s.Entered = d.meant
	}
	s.Cost += float64(len(misread)) * costMisread
	for i := range len(s.Expected) {
		if s.Expected[i] == NotRead && d.reading[i] != NotRead {
			s.Cost += costUnknownPoint
		}
	}
	s.Cost = math.Round(s.Cost*1e6) / 1e6
	if s.Kind != MisprintedChart {
		s.Misread = d.table.pointNames(misread)
	}
	return s
}
