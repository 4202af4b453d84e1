package standin

import (
	"fmt"
	"slices"
	"strings"
)

// slip is a way from the code that was meant to another that was entered.
type slip struct {
	kind  StoryKind
	place int     // from 1; 0: not one place
	code  []int32 // as places on the dial; noSymbol where it is not known
	cost  float64
}

// slips are the codes that one slip makes of the code meant and that may show what
// was read, each once by its cheapest way, in a fixed order.
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

// mayShow tells whether a code may show what was read: by a pattern recorded for
// it, else by what the code map knows.
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

// near tells whether a recorded pattern differs from the reading at no more points
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

// symbolsOf is a code as symbols, empty where one is not known.
func (t *Table) symbolsOf(code []int32) []string {
	symbols := make([]string, len(code))
	for i, c := range code {
		if c != noSymbol {
			symbols[i] = t.Family.Selector[c]
		}
	}
	return symbols
}

// sentence tells a story to people.
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
	meant := strings.Join(d.meant, " ")
	switch s.Kind {
	case OnlyMisread:
		return "the code is right and " + AndList(s.Misread) + " probably misread"
	case MisprintedChart:
		return "code and reading are right and the recorded pattern is probably misprinted at " + AndList(s.Misread)
	case WrongSymbol:
		return fmt.Sprintf("place %d: %s was probably entered, %s was meant", s.Place, s.Entered[s.Place-1], d.meant[s.Place-1])
	case Exchanged:
		return fmt.Sprintf("places %d and %d: %s %s was probably entered, %s %s was meant", s.Place, s.Place+1,
			s.Entered[s.Place-1], s.Entered[s.Place], d.meant[s.Place-1], d.meant[s.Place])
	case EnteredTwice:
		return fmt.Sprintf("place %d: %s was probably entered twice, which makes %s; %s was meant",
			s.Place, d.meant[s.Place-1], strings.Join(s.Entered, " "), meant)
	case LeftOut:
		return fmt.Sprintf("place %d: %s was probably left out, which makes %s and a further symbol; %s was meant",
			s.Place, d.meant[s.Place-1], strings.Join(s.Entered[:len(s.Entered)-1], " "), meant)
	}
	return fmt.Sprintf("%s was probably entered, the code for %s; %s was meant",
		strings.Join(s.Entered, " "), modelsText(s.Models), meant)
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
