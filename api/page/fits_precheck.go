package page

import (
	"slices"
	"strconv"

	"standin"
)

// precheck is a load to check before a board is fitted.
type precheck struct {
	Circuit string
	Builds  string // for which; empty: for all
	Text    string
	Expect  string
}

func prechecks(a *standin.Answer) []precheck {
	var all []precheck
	for i := range a.BeforeFitting {
		p := &a.BeforeFitting[i]
		one := precheck{Circuit: p.Circuit, Text: sentence(p.Text), Expect: expected(p)}
		if len(p.Builds) < len(a.Builds) {
			one.Builds = buildNames(p.Builds)
		}
		all = append(all, one)
	}
	return all
}

// limits are where the values to expect come from, each once.
func limits(a *standin.Answer) []string {
	var all []string
	for i := range a.BeforeFitting {
		if said := sentence(a.BeforeFitting[i].Source); said != "" && !slices.Contains(all, said) {
			all = append(all, said)
		}
	}
	return all
}

// expected is the value to expect on the meter, empty where none is known.
func expected(p *standin.Precheck) string {
	low, lowKnown := p.OhmsLow.Get()
	high, highKnown := p.OhmsHigh.Get()
	amps, ampsKnown := p.Amps.Get()
	switch {
	case lowKnown && highKnown:
		return hundredths(low) + " to " + hundredths(high) + " Ω"
	case lowKnown:
		return "at least " + hundredths(low) + " Ω"
	case ampsKnown:
		return hundredths(amps) + " A rated"
	}
	return ""
}

// hundredths is a measured value: no meter at a bench shows more.
func hundredths(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }
