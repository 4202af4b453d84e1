package standin

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// OhmsRead is what a meter showed across a load of an isolated machine, its leads
// subtracted. Open is a meter that shows no path at all; Ohms is then not read.
type OhmsRead struct {
	Circuit string
	Ohms    float64
	Open    bool
	Celsius float64 // of the load when it was measured
	Meter   Meter
}

// Meter is how far a meter and a thermometer may be off, each way.
type Meter struct {
	Percent float64 // of the reading
	Ohms    float64 // of the range: its digits
	Kelvin  float64 // by which the load's temperature may differ from what is told
}

// WorkshopMeter is a multimeter as common in workshops, and a room whose temperature
// is told, not measured at the winding [P].
func WorkshopMeter() Meter { return Meter{Percent: 1, Ohms: 0.3, Kelvin: 5} }

// LoadState is what a resistance says of a load.
type LoadState string

// The states. A load is good or bad where that is likely to 95 %.
const (
	LoadGood     LoadState = "good"
	LoadDoubtful LoadState = "doubtful"
	LoadBad      LoadState = "bad"
	LoadNotRead  LoadState = "not-measured"
)

// LoadJudgement is a load judged by its resistance: Chance is how likely the true
// one lies between the limits, which are those at the temperature told. Not known
// where it was not measured or nothing is recorded to judge it by.
type LoadJudgement struct {
	State     LoadState
	Chance    Maybe[float64]
	Low, High Maybe[float64]
	Reason    string
}

const (
	likelyEnough = 0.95

	// heaterRise is by how much a nickel-chromium heating wire, 80/20, is of higher
	// resistance hot than cold, at most: limits from rated power are for the hot one.
	heaterRise = 1.07 // [M]

	copperPerKelvin = 0.00393 // IEC 60028, annealed copper at 20 °C [M]
)

// JudgeOhms judges a load by its resistance, by limits that are recorded or, for a
// heating element, follow from volts, watts and the power tolerance (HeaterOhms). A
// motor is a copper winding; heating alloys are taken as constant between room
// temperatures. What the meter and the temperature leave open is a standard
// uncertainty, half-widths divided by √3 (JCGM 100:2008, 4.3.7 [M]), and the chance is
// the conformance probability of a normal distribution about the reading (JCGM
// 106:2012, 7 [M]). A good resistance is not a good load: a path to earth, a short
// between few turns and a seized rotor may not show in it.
func JudgeOhms(l *Load, read OhmsRead) LoadJudgement {
	low, high := l.limitsAt(read.Celsius)
	j := LoadJudgement{Low: low, High: high}
	switch {
	case !low.Known && !high.Known:
		j.State = LoadDoubtful
		j.Reason = "neither ohms nor, for a heating element, volts and watts are recorded of " + l.Circuit
		return j
	case read.Open:
		j.State, j.Chance = LoadBad, Known(0.0)
		j.Reason = l.Circuit + " is open: expected " + ohmsText(low, high)
		return j
	}
	off := read.Ohms*read.Meter.Percent/100 + read.Meter.Ohms
	warmth := read.Ohms * l.perKelvin() * read.Meter.Kelvin
	chance := Conformance(read.Ohms, math.Hypot(off, warmth)/math.Sqrt(3), low, high)
	j.Chance, j.State = Known(chance), LoadDoubtful
	if chance >= likelyEnough {
		j.State = LoadGood
	} else if chance <= 1-likelyEnough {
		j.State = LoadBad
	}
	j.Reason = fmt.Sprintf("%s has %s Ω at %s °C: expected %s; within that with a chance of %.0f %%",
		l.Circuit, digits(read.Ohms), plain(read.Celsius), ohmsText(low, high), 100*chance)
	return j
}

// Conformance is how likely a value lies between limits of which either may not be
// known, by an estimate with a standard uncertainty (JCGM 106:2012, 7 [M]).
func Conformance(estimate, uncertainty float64, low, high Maybe[float64]) float64 {
	below := func(limit float64) float64 {
		if uncertainty <= 0 {
			if estimate <= limit {
				return 1
			}
			return 0
		}
		return 0.5 * math.Erfc((estimate-limit)/(uncertainty*math.Sqrt2))
	}
	chance := 1.0
	if high.Known {
		chance = below(high.V)
	}
	if low.Known {
		chance -= below(low.V)
	}
	return max(0, chance)
}

// perKelvin is the temperature coefficient of what the load is made of.
func (l *Load) perKelvin() float64 {
	if l.Element == ElementMotor {
		return copperPerKelvin
	}
	return 0
}

// limitsAt are the limits of a good load's ohms at a temperature.
func (l *Load) limitsAt(celsius float64) (low, high Maybe[float64]) {
	low, high = l.OhmsLow, l.OhmsHigh
	if low.Known || high.Known {
		if l.Element == ElementMotor {
			at := l.AtCelsius.Or(roomCelsius)
			low.V, high.V = CopperOhms(low.V, at, celsius), CopperOhms(high.V, at, celsius)
		}
		return low, high
	}
	if l.Element == ElementHeating && l.Watts.Known && l.Volts.Known && l.Watts.V > 0 && l.Volts.V > 0 {
		low, high = HeaterOhms(l.Watts.V, l.Volts.V)
		low.V /= heaterRise
	}
	return low, high
}

// Suspect is a load that may have taken the board along, and how likely it is that
// it did; the shares of all, with that of none of them, add up to 1.
type Suspect struct {
	Circuit string
	Share   float64
	LoadJudgement
}

// Killed is which load took the board along.
type Killed struct {
	Suspects []Suspect // likeliest first
	NoLoad   float64   // the share that it was none of them
	Measure  string    // the circuit whose measurement settles most; empty: all were measured
	Cautions []string
}

// How likely loads are to take a board along, beside each other, before anything is
// measured; a circuit whose part on the board is burnt is much likelier. All [P].
const (
	weightBurnt = 20
	weightPower = 3 // heating elements and motors
	weightOther = 1
	weightNone  = 3

	badUnmeasured = 0.5
)

// WhatKilled tells which of the loads of a model probably took the board along, by
// the circuits that are burnt on the board or do not work, and by what was measured.
func WhatKilled(loads []Load, burnt []string, read []OhmsRead) Killed {
	k := Killed{NoLoad: weightNone * badUnmeasured, Cautions: killedCautions()}
	sum := k.NoLoad
	for i := range loads {
		l := &loads[i]
		s := Suspect{Circuit: l.Circuit, LoadJudgement: LoadJudgement{State: LoadNotRead}}
		s.Low, s.High = l.limitsAt(roomCelsius)
		bad := badUnmeasured
		if at := slices.IndexFunc(read, func(o OhmsRead) bool { return o.Circuit == l.Circuit }); at >= 0 {
			s.LoadJudgement = JudgeOhms(l, read[at])
			bad = 1 - s.Chance.Or(badUnmeasured)
		}
		s.Share = l.weight(burnt) * bad
		sum += s.Share
		k.Suspects = append(k.Suspects, s)
	}
	k.NoLoad /= sum
	for i := range k.Suspects {
		k.Suspects[i].Share /= sum
	}
	slices.SortStableFunc(k.Suspects, func(x, y Suspect) int { return cmp.Compare(y.Share, x.Share) })
	for i := range k.Suspects {
		if k.Suspects[i].State == LoadNotRead {
			k.Measure = k.Suspects[i].Circuit
			break
		}
	}
	return k
}

func (l *Load) weight(burnt []string) float64 {
	switch {
	case slices.Contains(burnt, l.Circuit):
		return weightBurnt
	case l.Element == ElementHeating || l.Element == ElementMotor:
		return weightPower
	}
	return weightOther
}

// killedCautions are shown with every diagnosis.
func killedCautions() []string {
	return []string{
		"Isolate the machine from the supply, and prove that it is dead, before anything is measured.",
		"Capacitors and drives hold a charge after unplugging: let them discharge and check that they have.",
		"Measure a load apart from the board: disconnect its plug first, or the board is measured with it.",
		"A good resistance does not prove a good load: test for a path to earth with an insulation tester as well.",
		"The work is for competent, licensed people; the maker's data and local rules come first.",
	}
}
