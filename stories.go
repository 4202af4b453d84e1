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

// slips are the codes that one slip makes of a code, each once by its cheapest
// way, in a fixed order. Recorded codes whose pattern is far from the reading
// are left out.
func (t *Table) slips(meant []string, reading Reading) []slip {
	own := t.onDial(meant)
	s := slipList{own: own, at: map[string]int{}}
	for place := range own {
		for symbol := range int32(len(t.Family.Selector)) {
			code := slices.Clone(own)
			code[place] = symbol
			s.add(slip{WrongSymbol, place + 1, code, t.costOfSymbol(own[place], symbol)})
		}
	}
	for place := range max(0, len(own)-1) {
		code := slices.Clone(own)
		code[place], code[place+1] = code[place+1], code[place]
		s.add(slip{Exchanged, place + 1, code, costExchanged})
		twice := slices.Insert(slices.Clone(own), place, own[place])[:len(own)]
		s.add(slip{EnteredTwice, place + 1, twice, costTwice})
		s.add(slip{LeftOut, place + 1, append(slices.Delete(slices.Clone(own), place, place+1), noSymbol), costLeftOut})
	}
	seen := pack(string(reading))
	for i := range t.Settings {
		setting := &t.Settings[i]
		if setting.Pattern != "" {
			if mismatches, _ := setting.packed.compare(seen); mismatches > mostMisread {
				continue
			}
		}
		s.add(slip{OtherModel, 0, setting.dialled, costOtherModel})
	}
	return s.slips
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

// slipList gathers slips, the cheapest for each code that is not the one meant.
type slipList struct {
	own   []int32
	slips []slip
	at    map[string]int
}

func (l *slipList) add(s slip) {
	if slices.Equal(s.code, l.own) {
		return
	}
	word := string(s.code) // places on the dial taken as characters
	at, seen := l.at[word]
	switch {
	case !seen:
		l.at[word] = len(l.slips)
		l.slips = append(l.slips, s)
	case s.cost < l.slips[at].cost:
		l.slips[at] = s
	}
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
		text += ", and " + andList(s.Misread) + " probably misread"
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
		return "the code is right and " + andList(s.Misread) + " probably misread"
	case MisprintedChart:
		return "code and reading are right and the recorded pattern is probably misprinted at " + andList(s.Misread)
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
	return andList(names)
}
