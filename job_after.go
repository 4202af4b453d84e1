package standin

import (
	"math"
	"slices"
)

// AfterRepairSource is where the limits after repair come from.
const AfterRepairSource = "EN 50678:2020 (VDE 0701); guidance: local rules and the maker's data come first"

// ProtectiveConductorOhms is the greatest resistance of the protective conductor
// after repair for a supply cord of so many metres with a cross-section up to
// 1.5 mm²: 0.3 Ω up to 5 m, 0.1 Ω more for each further 7.5 m begun, at most 1 Ω.
func ProtectiveConductorOhms(metres float64) float64 {
	tenths := 3 + math.Ceil(max(0, metres-5)/7.5)
	return min(tenths, 10) / 10
}

// Insulation is the least insulation resistance after repair.
type Insulation struct {
	Class      string // the appliance's protection against electric shock, as on its plate
	Heating    bool   // it has heating elements
	LeastMOhms float64
}

// Insulations are the limits of insulation resistance, by class.
func Insulations() []Insulation {
	return []Insulation{{"I", false, 1}, {"I", true, 0.3}, {"II", false, 2}}
}

// ConductorRule says the limit of the protective conductor for any cord.
func ConductorRule() string {
	const cord, step, long = 5, 7.5, 1000
	least := ProtectiveConductorOhms(cord)
	return "at most " + plain(least) + "\u00a0Ω up to " + plain(cord) + "\u00a0m of cord up to 1.5\u00a0mm², " +
		rounded(ProtectiveConductorOhms(cord+step)-least, 1) + "\u00a0Ω more for each further " + plain(step) +
		"\u00a0m begun, never above " + rounded(ProtectiveConductorOhms(long), 1) + "\u00a0Ω"
}

// String says the limit: "class I: at least 1 MΩ".
func (i Insulation) String() string {
	heating := ""
	if i.Heating {
		heating = " with heating elements"
	}
	return "class " + i.Class + heating + ": at least " + plain(i.LeastMOhms) + "\u00a0MΩ"
}

// AfterRepairCheck is one check of an appliance after repair, in the order they are made.
type AfterRepairCheck struct {
	Class  string // of protection it is for: I, II or III; empty: any
	What   string
	Limit  string
	Test   string // how it is tested
	Source string
	Memory bool // the values are stated from memory
}

const (
	repairSource = "EN 50678:2020 (VDE 0701)"
	retestSource = "EN 50678:2020 (VDE 0701), as EN 50699:2020 (VDE 0702) on periodic test"
	notBehind    = "; it does not reach behind open relays and switches, so what they switch needs the currents below, measured in operation"
)

// AfterRepair are the checks of an appliance of a class of protection after
// repair; where the class is empty, those of all classes, each named. Heating is
// whether it has heating elements, watts what they take together. Local rules
// and the maker's data come before them.
func AfterRepair(class string, heating Maybe[bool], watts Maybe[float64]) []AfterRepairCheck {
	all := []AfterRepairCheck{{What: "look", Limit: "no damage, seals, strain relief and earths refitted", Test: "by eye and hand", Source: repairSource}}
	for _, c := range []string{"I", "II", "III"} {
		if class == "" || class == c {
			all = append(all, afterRepairOf(c, heating, watts)...)
		}
	}
	return append(all, AfterRepairCheck{What: "function", Limit: "as the maker says, with its protective devices", Test: "one whole cycle under supervision", Source: repairSource})
}

// Heating is what is recorded of the heating elements of an appliance. That it
// has none is never known: loads may be missing from the record.
type Heating struct {
	Has   Maybe[bool]
	Watts Maybe[float64] // all together
}

// heating is what is recorded, whichever of the possible builds it is: the least
// watts, for more would widen the limits after repair. The elements that other
// boards of the machine switch count where they are those of all builds.
func (e *evaluation) heating() Heating {
	var least Heating
	for i := range e.builds {
		in := heatingOf(e.heatersOf(i))
		if !in.Has.Known {
			return Heating{}
		}
		if i == 0 || !in.Watts.Known || least.Watts.Known && in.Watts.V < least.Watts.V {
			least = in
		}
	}
	return least
}

// heatersOf are the heating elements of the appliance in one build.
func (e *evaluation) heatersOf(build int) []Load {
	all := slices.Clone(e.loads[build])
	for _, l := range e.dossier.Loads {
		if l.Build == "" && positionName(l.Position) != positionName(e.builds[build].Position) {
			all = append(all, l)
		}
	}
	return slices.DeleteFunc(all, func(l Load) bool { return l.Element != ElementHeating })
}

func heatingOf(heaters []Load) Heating {
	if len(heaters) == 0 {
		return Heating{}
	}
	watts := 0.0
	for _, l := range heaters {
		if !l.Watts.Known {
			return Heating{Has: Known(true)}
		}
		watts += l.Watts.V
	}
	return Heating{Known(true), Known(watts)}
}

// AfterRepair are the checks after repair of the machine of the job, by what is
// recorded of its class of protection and its heating elements.
func (j *Job) AfterRepair() []AfterRepairCheck {
	heating := j.Answer.Heating
	return AfterRepair(j.Answer.Model.Class, heating.Has, heating.Watts)
}

func afterRepairOf(class string, heating Maybe[bool], watts Maybe[float64]) []AfterRepairCheck {
	insulation := AfterRepairCheck{Class: class, What: "insulation resistance", Source: retestSource, Memory: true,
		Test: "500\u00a0V DC, all poles to accessible metal, switches closed" + notBehind}
	touch := AfterRepairCheck{Class: class, What: "touch current", Limit: "at most 0.5\u00a0mA", Source: retestSource, Memory: true,
		Test: "at rated voltage in operation, accessible metal that is not earthed, both ways of the plug"}
	switch class {
	case "I":
		insulation.Limit = "at least " + insulationLimit(heating)
		return []AfterRepairCheck{
			{Class: class, What: "protective conductor", Limit: ConductorRule(), Test: "at least 0.2\u00a0A, the cord moved", Source: retestSource, Memory: true},
			insulation,
			{Class: class, What: "protective-conductor current", Limit: conductorCurrent(heating, watts), Source: retestSource, Memory: true,
				Test: "at rated voltage in operation, both ways of the plug"},
			touch,
		}
	case "II":
		insulation.Limit = "at least 2\u00a0MΩ"
		return []AfterRepairCheck{insulation, touch}
	}
	insulation.Limit, insulation.Test = "at least 0.25\u00a0MΩ", "250\u00a0V DC, all poles to accessible metal"+notBehind
	return []AfterRepairCheck{insulation}
}

func insulationLimit(heating Maybe[bool]) string {
	switch {
	case !heating.Known:
		return "1\u00a0MΩ, with heating elements 0.3\u00a0MΩ"
	case heating.V:
		return "0.3\u00a0MΩ"
	}
	return "1\u00a0MΩ"
}

// conductorCurrent is at most 3.5 mA; of heating elements above 3.5 kW 1 mA a
// kilowatt, and never above 10 mA.
func conductorCurrent(heating Maybe[bool], watts Maybe[float64]) string {
	const most, perKilowatt, never = 3.5, 1.0, 10.0
	switch {
	case heating.Known && !heating.V || watts.Known && watts.V <= most*1000:
		return "at most " + plain(most) + "\u00a0mA"
	case heating.Known && watts.Known:
		return "at most " + Figure(min(never, perKilowatt*watts.V/1000)) + "\u00a0mA"
	}
	return "at most " + plain(most) + "\u00a0mA; with heating elements above " + plain(most) + "\u00a0kW 1\u00a0mA a kilowatt, never above " + plain(never) + "\u00a0mA"
}
