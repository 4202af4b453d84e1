package standin

import (
	"cmp"
	"math"
	"slices"
)

// cautions are given with every answer.
func cautions() []string {
	return []string{
		"Isolate the machine from the supply and prove it dead before opening it; capacitors may hold a charge.",
		"Work on mains equipment is for competent, licensed people; local rules and the maker's data come first.",
		"Handle a board by its edges and with electrostatic precautions.",
		"Photograph or label every plug before it is pulled; a plug on the wrong header can destroy the board.",
		"A board seldom fails by itself: find the short or the overload that took it along before fitting the next.",
	}
}

// Where the limits of a check come from, as it is stated with them.
const (
	powerSource = "power input deviation of IEC 60335-1, clause 10.1, table 1; guidance: the maker's data come first"
	ratedSource = "rated current from watts and volts; guidance: the maker's data come first"
)

// beforeFitting are the loads of the possible builds as checks to make first (rule 7),
// one for each way a load is recorded.
func (e *evaluation) beforeFitting() []Precheck {
	var loads []Load
	var builds [][]string
	for i := range e.builds {
		for _, l := range e.loads[i] {
			l.Build, l.Volts = "", l.volts(lowest(e.dossier.Model.Volts))
			at := slices.Index(loads, l)
			if at < 0 {
				at = len(loads)
				loads, builds = append(loads, l), append(builds, nil)
			}
			builds[at] = append(builds[at], e.names[i])
		}
	}
	checks := make([]Precheck, len(loads))
	for i := range loads {
		checks[i] = precheck(&loads[i])
		checks[i].Builds = builds[i]
	}
	slices.SortStableFunc(checks, func(x, y Precheck) int { return cmp.Compare(x.Circuit, y.Circuit) })
	return checks
}

// precheck is what to expect of one load, its volts already those it works on.
func precheck(l *Load) Precheck {
	c := Precheck{Circuit: l.Circuit, Source: ratedSource}
	amps, known := l.amps(Maybe[float64]{})
	if !known {
		c.Text = "machine isolated: check " + l.Circuit + " for a short; its watts or volts are not recorded"
		c.Source = ""
		return c
	}
	c.Amps = Known(amps)
	rating := plain(l.Watts.V) + " W at " + plain(l.Volts.V) + " V"
	if l.Element != ElementHeating || l.Watts.V <= 0 {
		c.Text = "machine isolated: check " + l.Circuit + " (" + rating + ") for a short" + moving(l.Element) + "; it draws " +
			rounded(amps, 2) + " A by its rating"
		return c
	}
	c.OhmsLow, c.OhmsHigh = HeaterOhms(l.Watts.V, l.Volts.V)
	c.Source = powerSource
	c.Text = "machine isolated: measure " + l.Circuit + " (" + rating + ") at its terminals; expect " + ohmsSaid(c.OhmsLow, c.OhmsHigh) +
		" hot, a little less cold, and no path to earth"
	return c
}

func moving(e Element) string {
	if e == ElementMotor {
		return " and for free movement"
	}
	return ""
}

func ohmsSaid(low, high Maybe[float64]) string {
	if !high.Known {
		return "at least " + rounded(low.V, 2) + " Ω"
	}
	return rounded(low.V, 2) + " to " + rounded(high.V, 2) + " Ω"
}

// PowerLimits are the least and the greatest power input in watts that IEC
// 60335-1 clause 10.1 table 1 allows an appliance of the rated input: up to
// 25 W +20 %; heating up to 200 W ±10 %, above +5 % or 20 W (the greater) and
// −10 %; motors up to 300 W +20 %, above +15 % or 60 W (the greater). Where it
// sets no limit, or the element is neither, none is known.
func PowerLimits(element Element, watts float64) (low, high Maybe[float64]) {
	switch {
	case watts <= 25:
		return low, Known(watts * 1.2)
	case element == ElementHeating && watts <= 200:
		return Known(watts * 0.9), Known(watts * 1.1)
	case element == ElementHeating:
		return Known(watts * 0.9), Known(math.Max(watts*1.05, watts+20))
	case element == ElementMotor && watts <= 300:
		return low, Known(watts * 1.2)
	case element == ElementMotor:
		return low, Known(math.Max(watts*1.15, watts+60))
	}
	return low, high
}

// HeaterOhms is the resistance in ohms to expect of a heating element rated for
// watts at volts, R = V² / P with the limits of PowerLimits. The least power
// gives the highest resistance, which is not known where no least power is.
func HeaterOhms(watts, volts float64) (low, high Maybe[float64]) {
	least, greatest := PowerLimits(ElementHeating, watts)
	if greatest.Known {
		low = Known(volts * volts / greatest.V)
	}
	if least.Known {
		high = Known(volts * volts / least.V)
	}
	return low, high
}
