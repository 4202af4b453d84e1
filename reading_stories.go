package standin

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// slip is one mistake that turns the code that was meant into another.
type slip struct {
	kind  StoryKind
	place int     // from 1; 0: not one place
	code  []int32 // as places on the dial; noSymbol where it is not known
	cost  float64
}

// slips returns the slips whose codes may show what was read. Each code is there
// once, with the cheapest slip that leads to it, in a fixed order.
func (d *diagnosis) slips() []slip {
	var kept []slip
	consider := func(kind StoryKind, place int, code []int32, cost float64) {
		if slices.Equal(code, d.dialled) || !d.mayShow(code) { // most slips end here
			return
		}
		at := slices.IndexFunc(kept, func(s slip) bool { return slices.Equal(s.code, code) })
		if at < 0 {
			kept = append(kept, slip{kind, place, slices.Clone(code), cost})
		} else if cost < kept[at].cost {
			kept[at].kind, kept[at].place, kept[at].cost = kind, place, cost
		}
	}
	code := slices.Clone(d.dialled) // the one under consideration
	for place, meant := range d.dialled {
		for symbol := range int32(len(d.table.Family.Selector)) {
			code[place] = symbol
			consider(WrongSymbol, place+1, code, d.table.costOfSymbol(meant, symbol))
		}
		code[place] = meant
	}
	for place := range max(0, len(code)-1) {
		code[place], code[place+1] = code[place+1], code[place]
		consider(Exchanged, place+1, code, costExchanged)
		copy(code, d.dialled)
		if !d.table.Family.Method.words().inOrder {
			continue // symbols are not entered in sequence, so none is entered twice or left out
		}
		copy(code[place+1:], d.dialled[place:])
		consider(EnteredTwice, place+1, code, costTwice)
		copy(code, d.dialled)
		copy(code[place:], d.dialled[place+1:])
		code[len(code)-1] = noSymbol
		consider(LeftOut, place+1, code, costLeftOut)
		copy(code, d.dialled)
	}
	for i := range d.table.Settings {
		if s := &d.table.Settings[i]; s.Pattern == "" || d.near(s) {
			consider(OtherModel, 0, s.dialled, costOtherModel)
		}
	}
	return kept
}

// mayShow reports whether a code may show what was read, judging by the patterns
// recorded for it, or by the code map where there are none.
func (d *diagnosis) mayShow(code []int32) bool {
	recorded := false
	settings := d.table.settingsOf(code)
	for i := range settings {
		if settings[i].Pattern != "" {
			recorded = true
			if d.near(&settings[i]) {
				return true
			}
		}
	}
	return !recorded && !d.tooFar(code)
}

// near reports whether a recorded pattern differs from the reading at no more points
// than may be misread.
func (d *diagnosis) near(s *Setting) bool {
	mismatches, _ := s.packed.compare(d.seen)
	return mismatches <= mostMisread
}

// costOfSymbol is the cost of one symbol entered for another.
func (t *Table) costOfSymbol(meant, entered int32) float64 {
	switch between := max(meant-entered, entered-meant); {
	case between == 1:
		return costNeighbour
	case int(between) == len(t.Family.Selector)-1:
		return costAroundEnd
	}
	return costOtherSymbol
}

// symbolsOf returns a code as symbols, with "" for one that is not known.
func (t *Table) symbolsOf(code []int32) []string {
	symbols := make([]string, len(code))
	for i, c := range code {
		if c != noSymbol {
			symbols[i] = t.Family.Selector[c]
		}
	}
	return symbols
}

// sentence puts a story into words.
func (d *diagnosis) sentence(s *Story) string {
	text := d.slipSentence(s)
	if len(s.Misread) > 0 && s.Kind != OnlyMisread && s.Kind != MisprintedChart {
		text += ", and " + AndList(s.Misread) + " probably misread"
	}
	if len(s.Models) > 0 && s.Kind != OtherModel {
		text += "; that is the code for " + modelsText(s.Models)
	}
	if s.Unproven {
		text += "; no recorded code has this symbol there, so what it would show is not known"
	}
	return text + "."
}

func (d *diagnosis) slipSentence(s *Story) string {
	meant, method := strings.Join(d.meant, " "), d.table.Family.Method
	done := "was probably " + method.Entered()
	switch s.Kind {
	case OnlyMisread:
		return "the code is right and " + AndList(s.Misread) + " probably misread"
	case MisprintedChart:
		return "code and reading are right and the recorded pattern is probably misprinted at " + AndList(s.Misread)
	case WrongSymbol:
		return fmt.Sprintf("%s: %s %s, %s was meant", method.Place(s.Place, len(d.meant)), s.Entered[s.Place-1], done, d.meant[s.Place-1])
	case Exchanged:
		return fmt.Sprintf("%s: %s %s %s, %s %s was meant", method.places(s.Place, s.Place+1),
			s.Entered[s.Place-1], s.Entered[s.Place], done, d.meant[s.Place-1], d.meant[s.Place])
	case EnteredTwice:
		return fmt.Sprintf("%s: %s %s twice, which makes %s; %s was meant",
			method.Place(s.Place, len(d.meant)), d.meant[s.Place-1], done, strings.Join(s.Entered, " "), meant)
	case LeftOut:
		return fmt.Sprintf("%s: %s was probably left out, which makes %s and a further symbol; %s was meant",
			method.Place(s.Place, len(d.meant)), d.meant[s.Place-1], strings.Join(s.Entered[:len(s.Entered)-1], " "), meant)
	}
	return fmt.Sprintf("%s %s, the code for %s; %s was meant",
		strings.Join(s.Entered, " "), done, modelsText(s.Models), meant)
}

// modelsText is the first models, and how many more.
func modelsText(models []ModelKey) string {
	const most = 2
	var names []string
	for _, m := range models[:min(most, len(models))] {
		names = append(names, m.String())
	}
	if more := len(models) - most; more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	return AndList(names)
}

// The costs of slips, the one table that decides which story comes first. A
// cost is the negative natural logarithm of a chance, so that costs of slips
// made together add up. Each is the share of a kind of slip divided by the ways
// it can happen in a code of four places on a dial of twelve symbols.
//
// The shares: Verhoeff (Error Detecting Decimal Codes, 1969, as tabulated since;
// counts from memory) has single wrong symbols far ahead of exchanges of
// neighbours, 79.05 % to 10.21 %; other collections give 60 to 95 % and 10 to
// 20 %. Taken here: 8 to 2. That a dial slips to a neighbouring symbol more often
// than further is common practice, no source: taken as 5 to 3.
//
//	slip                                 share   ways   cost
//	neighbour on the dial                 0.5      8    2.67 (with its part of the next but one)
//	neighbours in the code exchanged      0.2      3    2.71
//	any other symbol                      0.3     44    4.99
//
// Only their order, and that two slips cost more than one, should be relied on.
const (
	costNeighbour = 2.67
	costExchanged = 2.71
	// From the last symbol of the selector to the first, or back: whether the
	// dial turns on there is not recorded, so it counts half a neighbour.
	costAroundEnd   = 3.27
	costOtherSymbol = 4.99

	// A point misread: one in two hundred, common practice, no source.
	costMisread = 5.3

	// A symbol entered twice or left out. Among people who copy numbers as
	// frequent as exchanges (10 to 20 %), but on a selector the entry then ends
	// early or late, which is mostly noticed: taken as one in ten of those.
	costTwice   = 8.0
	costLeftOut = 8.0

	// The line of another model read off the chart: no source. Taken as one in a
	// hundred, spread over some hundreds of lines.
	costOtherModel = 10.5

	// The chart misprinted in such a way that the reading is what the code map
	// expects: the chance that proof-reading assumes for one point of fourteen.
	costMisprinted = 6.3
)

// costUnseen is added for a symbol that no recorded row has at its place. That the
// board accepts it there at all is assumed to be one in a hundred, no source.
const costUnseen = 4.6

// costUnknownPoint is added for each point that was read but of which it is not
// known what the story would show: lit or unlit, one in two.
const costUnknownPoint = math.Ln2

// The most that a story may assume.
const (
	mostMisread      = 2 // points misread beside a slip in the code
	mostMisreadAlone = 3 // points misread with the code rightly entered
	sameCost         = 1e-9
)
