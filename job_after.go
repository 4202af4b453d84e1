package standin

import "math"

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
