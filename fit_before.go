package standin

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// The sources of the limits of a check, as they are stated with them.
const (
	powerSource  = "a guide: power input deviation of IEC 60335-1, clause 10.1, table 1, which is about the input of the whole appliance; the maker's data come first"
	ohmsSource   = "as recorded in the catalogue; the maker's data come first"
	copperSource = "as recorded in the catalogue, brought to 20 °C by the temperature coefficient of copper, 0.00393 per kelvin (IEC 60028, from memory); the maker's data come first"
)

// beforeFitting returns the loads of the possible builds as checks to make first
// (rule 7), one for each way a load is recorded.
func (e *evaluation) beforeFitting() []Precheck {
	var loads []Load
	var builds [][]string
	for i := range e.builds {
		for _, l := range e.loads[i] {
			l.Build, l.Position, l.Volts = "", "", l.volts(lowest(e.dossier.Model.Volts))
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

// precheck returns what to expect of one load, whose volts must be those it works
// on. It asks only for what can be measured on an isolated machine: ohms, no amps.
func precheck(l *Load) Precheck {
	c := Precheck{Circuit: l.Circuit}
	if least, most, known := l.draws(Maybe[float64]{}); known && least == most {
		c.Amps = Known(least)
	}
	hot := ""
	switch {
	case l.OhmsLow.Known || l.OhmsHigh.Known:
		c.OhmsLow, c.OhmsHigh, c.Source, hot = l.recordedOhms()
	case l.Element == ElementHeating && l.Watts.Known && l.Volts.Known && l.Watts.V > 0 && l.Volts.V > 0:
		c.OhmsLow, c.OhmsHigh = HeaterOhms(l.Watts.V, l.Volts.V)
		c.Source, hot = powerSource, " hot, a little less cold"
	default:
		c.Text = "machine isolated: check " + l.named() + " for a short and for a path to earth" + moving(l.Element)
		c.Brief = l.rated() + "no short, no path to earth" + moving(l.Element)
		return c
	}
	c.Text = "machine isolated: measure " + l.named() + " at its terminals and subtract the leads; expect " +
		ohmsText(c.OhmsLow, c.OhmsHigh) + hot + ", and no path to earth" + moving(l.Element)
	c.Brief = l.rated() + ohmsText(c.OhmsLow, c.OhmsHigh) + hot + ", no path to earth" + moving(l.Element)
	return c
}

// recordedOhms returns those of the load, their source and the temperature they
// hold at. For a motor, which is wound with copper, they are converted to 20 °C
// where their temperature is recorded.
func (l *Load) recordedOhms() (low, high Maybe[float64], source, at string) {
	low, high = l.OhmsLow, l.OhmsHigh
	celsius, known := l.AtCelsius.Get()
	switch {
	case !known:
		return low, high, ohmsSource, ""
	case l.Element != ElementMotor || celsius == roomCelsius:
		return low, high, ohmsSource, " at " + plain(celsius) + " °C"
	}
	for _, ohms := range []*Maybe[float64]{&low, &high} {
		ohms.V = CopperOhms(ohms.V, celsius, roomCelsius)
	}
	return low, high, copperSource, " at " + plain(roomCelsius) + " °C"
}

// roomCelsius is the temperature that the coefficient of copper is stated for.
const roomCelsius = 20

// CopperOhms converts the resistance of a copper winding from one temperature to
// another, both in degrees Celsius, by the temperature coefficient of 0.00393 per
// kelvin at 20 °C (IEC 60028, from memory).
func CopperOhms(ohms, at, celsius float64) float64 {
	const coefficient = 0.00393
	return ohms * (1 + coefficient*(celsius-roomCelsius)) / (1 + coefficient*(at-roomCelsius))
}

// named returns the circuit with what is recorded of its rating.
func (l *Load) named() string {
	switch {
	case l.Watts.Known && l.Volts.Known:
		return l.Circuit + " (" + plain(l.Watts.V) + " W at " + plain(l.Volts.V) + " V)"
	case l.Watts.Known:
		return l.Circuit + " (" + plain(l.Watts.V) + " W)"
	}
	return l.Circuit
}

// rated returns what is recorded of the rating of the circuit, before what to expect.
func (l *Load) rated() string {
	text := strings.Trim(strings.TrimPrefix(l.named(), l.Circuit), " ()")
	if text == "" {
		return ""
	}
	return text + ": "
}

// moving returns what else to try with a load that can turn.
func moving(e Element) string {
	if e == ElementMotor {
		return "; it must turn freely"
	}
	return ""
}

func ohmsText(low, high Maybe[float64]) string {
	switch {
	case !high.Known:
		return "at least " + digits(low.V) + " Ω"
	case !low.Known:
		return "at most " + digits(high.V) + " Ω"
	}
	return digits(low.V) + " to " + digits(high.V) + " Ω"
}

// PowerLimits returns the least and the greatest power input in watts that IEC
// 60335-1 clause 10.1 table 1 allows an appliance of the rated input: up to
// 25 W +20 %; heating up to 200 W ±10 %, above that +5 % or 20 W (the greater) and
// −10 %; motors up to 300 W +20 %, above that +15 % or 60 W (the greater). Where it
// sets no limit, or the element is neither, the limit is not known.
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

// HeaterOhms returns the resistance in ohms to expect of a heating element rated for
// watts at volts, R = V² / P with the limits of PowerLimits. The least power gives
// the highest resistance, which is not known where no least power is.
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
