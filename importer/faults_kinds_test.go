package importer_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// faultKind is one way in which a table goes wrong between a supplier and a bundle.
type faultKind struct {
	name       string
	plant      func(p *planting) bool // false where the catalogue has no place for it
	storedOnly bool                   // nothing but what is stored can show it
	mayPass    float64                // the share that may come in silently
}

// unlessStored is the share of kinds that show only against what is stored, or against
// many others: an empty catalogue, in which half of the faults are tried, has neither.
const unlessStored = 0.5

func isHeating(g *grid, row []string) bool { return row[g.at("element")] == "heating" }
func large(g *grid, row []string) bool {
	return isHeating(g, row) && len(row[g.at("watts")]) >= 4
}

var faultKinds = []faultKind{
	// Units.
	{name: "watts in kilowatts", plant: inWhole("loads", "watts", times(0.001, 3))},
	{name: "heating in kilowatts", plant: inWholeWhere("loads", "watts", isHeating, times(0.001, 3))},
	{name: "one heating load in kilowatts", plant: inOneWhere("loads", "watts", large, times(0.001, 3))},
	{name: "one heating load ten times", plant: inOneWhere("loads", "watts", large, times(10, 0))},
	{name: "one heating load a tenth", plant: inOneWhere("loads", "watts", large, times(0.1, 1))},
	{name: "watts ten times", plant: inWhole("loads", "watts", times(10, 0))},
	{name: "watts with points between thousands", plant: inWholeWhere("loads", "watts", large, func(_ *planting, c string) string { return c[:len(c)-3] + "." + c[len(c)-3:] })},
	{name: "watts with commas between thousands", plant: inWholeWhere("loads", "watts", large, func(_ *planting, c string) string { return c[:len(c)-3] + "," + c[len(c)-3:] })},
	{name: "load amps in milliamps", plant: inWhole("loads", "amps", times(1000, 0))},
	{name: "ratings in milliamps", plant: inWhole("ratings", "max_amps", times(1000, 0))},
	{name: "ratings ten times", plant: inWhole("ratings", "max_amps", times(10, 0))},
	{name: "ratings a tenth", plant: inWhole("ratings", "max_amps", times(0.1, 3))},
	{name: "one rating ten times", plant: inOne("ratings", "max_amps", times(10, 0)), mayPass: unlessStored},
	{name: "one rating a tenth", plant: inOne("ratings", "max_amps", times(0.1, 3))},
	{name: "ohms in kilohms", plant: inAll(inWhole("loads", "ohms_low", times(0.001, 4)), inWhole("loads", "ohms_high", times(0.001, 4)))},
	{name: "pitch in inches", plant: inWhole("layouts", "pitch_mm", times(1/25.4, 3))},
	{name: "pitch in mils", plant: inWhole("layouts", "pitch_mm", times(1000/25.4, 0))},
	{name: "pitch in tenths", plant: inWhole("layouts", "pitch_mm", times(10, 0))},
	{name: "one pitch in inches", plant: inOne("layouts", "pitch_mm", times(1/25.4, 3))},
	{name: "volts of boards in tenths", plant: inAll(inWhole("revisions", "volts_min", times(10, 0)), inWhole("revisions", "volts_max", times(10, 0)))},
	{name: "volts of boards in kilovolts", plant: inAll(inWhole("revisions", "volts_min", times(0.001, 3)), inWhole("revisions", "volts_max", times(0.001, 3)))},
	{name: "volts of models a tenth", plant: inWhole("models", "volts", times(0.1, 1))},
	{name: "hertz of boards in kilohertz", plant: inWhole("revisions", "hertz", times(0.001, 3))},
	{name: "decimal comma", plant: inWhole("layouts", "pitch_mm", func(_ *planting, c string) string { return strings.Replace(c, ".", ",", 1) })},
	{name: "unit behind the number", plant: inWhole("ratings", "max_amps", suffixed(" A"))},

	// Columns exchanged.
	{name: "options and layout exchanged", plant: exchanged("revisions", "options", "layout")},
	{name: "options and stop exchanged", plant: exchanged("revisions", "options", "stop"), mayPass: unlessStored},
	{name: "options and procedure exchanged", plant: exchanged("revisions", "options", "procedure")},
	{name: "revision and issue exchanged", plant: exchanged("revisions", "revision", "issue")},
	{name: "least and most volts exchanged", plant: exchanged("revisions", "volts_min", "volts_max")},
	{name: "most volts and hertz exchanged", plant: exchanged("revisions", "volts_max", "hertz")},
	{name: "issue and least volts exchanged", plant: exchanged("revisions", "issue", "volts_min")},
	{name: "beginning and end exchanged", plant: exchanged("builds", "made_from", "made_to")},
	{name: "key and circuits exchanged", plant: exchanged("layouts", "key", "circuits")},
	{name: "ways and pitch exchanged", plant: exchanged("layouts", "ways", "pitch_mm")},
	{name: "key and connector exchanged", plant: exchanged("layouts", "key", "connector"), mayPass: unlessStored},
	{name: "layout and connector exchanged", plant: exchanged("layouts", "layout", "connector")},
	{name: "old and new part exchanged", plant: exchanged("supersessions", "old_part", "new_part")},
	{name: "takes and gives exchanged", plant: exchanged("adaptors", "takes", "gives"), mayPass: unlessStored},
	{name: "adaptor part and what it takes exchanged", plant: exchanged("adaptors", "part_number", "takes")},
	{name: "family and position exchanged", plant: exchanged("boards", "family", "position")},
	{name: "family and title exchanged", plant: exchanged("boards", "family", "title")},
	{name: "part and marking exchanged", plant: exchanged("markings", "marking", "part_number")},
	{name: "watts and volts exchanged", plant: exchanged("loads", "watts", "volts")},
	{name: "watts and amps exchanged", plant: exchanged("loads", "watts", "amps")},
	{name: "circuit and element exchanged", plant: exchanged("loads", "circuit", "element")},
	{name: "circuit and revision exchanged", plant: exchanged("ratings", "circuit", "revision")},
	{name: "volts and hertz exchanged", plant: exchanged("models", "volts", "hertz")},
	{name: "brand and model exchanged", plant: exchanged("models", "brand", "model")},
	{name: "kind and brand exchanged", plant: exchanged("models", "brand", "kind")},
	{name: "model and variant exchanged in builds", plant: exchanged("builds", "model", "variant")},
	{name: "twin and original exchanged", plant: inAll(exchanged("twins", "brand", "of_brand"), exchanged("twins", "model", "of_model"))},
	{name: "needs and source exchanged", plant: exchanged("builds", "needs", "source")},
	{name: "needs and layout exchanged", plant: exchanged("builds", "needs", "layout")},
	{name: "build and revision exchanged", plant: exchanged("builds", "build", "revision")},
	{name: "serials exchanged", plant: exchanged("builds", "serial_from", "serial_to")},
	{name: "run-out and first serial exchanged", plant: exchanged("builds", "run_out_days", "serial_from")},
	{name: "code and pattern exchanged", plant: exchanged("configurations", "code", "pattern")},
	{name: "issues exchanged", plant: exchanged("configurations", "issue_from", "issue_to")},
	{name: "doing and expecting exchanged", plant: exchanged("procedures", "do", "expect")},
	{name: "revision and condition exchanged", plant: exchanged("stock", "revision", "condition")},

	// Columns that slipped, by a row or a place.
	{name: "options down a row", plant: slipped("revisions", "options")},
	{name: "issues down a row", plant: slipped("revisions", "issue"), mayPass: unlessStored},
	{name: "layouts of boards down a row", plant: slipped("revisions", "layout")},
	{name: "stops down a row", plant: slipped("revisions", "stop"), mayPass: unlessStored},
	{name: "volts down a row", plant: slipped("revisions", "volts_min", "volts_max"), mayPass: unlessStored},
	{name: "keys down a row", plant: slipped("layouts", "key"), mayPass: unlessStored},
	{name: "circuits down a row", plant: slipped("layouts", "circuits")},
	{name: "pitch down a row", plant: slipped("layouts", "pitch_mm")},
	{name: "needs down a row", plant: slipped("builds", "needs")},
	{name: "factory boards down a row", plant: slipped("builds", "part_number", "revision")},
	{name: "harnesses down a row", plant: slipped("builds", "layout")},
	{name: "cut-ins down a row", plant: slipped("builds", "made_from")},
	{name: "watts down a row", plant: slipped("loads", "watts")},
	{name: "ratings down a row", plant: slipped("ratings", "max_amps")},
	{name: "codes down a row", plant: slipped("configurations", "code")},
	{name: "patterns down a row", plant: slipped("configurations", "pattern")},
	{name: "codes and patterns down a row", plant: slipped("configurations", "code", "pattern")},
	{name: "codes moved by a place", plant: inWhole("configurations", "code", rotated)},
	{name: "patterns moved by a point", plant: inWhole("configurations", "pattern", rotated), mayPass: unlessStored},
	{name: "codes sorted alone", plant: sortedAlone("configurations", "code")},
	{name: "ratings sorted alone", plant: sortedAlone("ratings", "max_amps")},
	{name: "watts sorted alone", plant: sortedAlone("loads", "watts")},
	{name: "options sorted alone", plant: sortedAlone("revisions", "options")},
	{name: "new parts down a row", plant: slipped("supersessions", "new_part")},
	{name: "needs sorted alone", plant: sortedAlone("builds", "needs")},

	// Filled down.
	{name: "a code copied down", plant: filled("configurations", "code", same)},
	{name: "a pattern copied down", plant: filled("configurations", "pattern", same)},
	{name: "options copied down", plant: filled("revisions", "options", same), mayPass: unlessStored},
	{name: "watts as a series", plant: filled("loads", "watts", series), mayPass: unlessStored},
	{name: "ratings as a series", plant: filled("ratings", "max_amps", series), mayPass: unlessStored},
	{name: "a code as a series", plant: filled("configurations", "code", series)},
	{name: "factory boards as a series", plant: filled("builds", "part_number", series)},
	{name: "issues as a series", plant: filled("revisions", "issue", series), mayPass: unlessStored},
	{name: "revisions as a series", plant: filled("stock", "part_number", series)},

	// Single cells.
	{name: "a symbol never used at its place", plant: unusedSymbol, mayPass: unlessStored},
	{name: "a symbol of another row", plant: otherSymbol},
	{name: "neighbours in a code exchanged", plant: inOne("configurations", "code", neighbours)},
	{name: "neighbours in a pattern exchanged", plant: inOne("configurations", "pattern", neighbours), mayPass: unlessStored},
	{name: "a point of a pattern", plant: inOne("configurations", "pattern", otherPoint), mayPass: unlessStored},
	{name: "a circuit misspelt in loads", plant: inOne("loads", "circuit", misspelt)},
	{name: "a circuit misspelt in ratings", plant: inOne("ratings", "circuit", misspelt)},
	{name: "a circuit misspelt in layouts", plant: inOne("layouts", "circuits", word(misspelt))},
	{name: "an option misspelt in revisions", plant: inOne("revisions", "options", word(misspelt)), mayPass: unlessStored},
	{name: "an option misspelt in builds", plant: inOne("builds", "needs", word(misspelt))},
	{name: "a circuit with a capital", plant: inOne("ratings", "circuit", capital)},
	{name: "an option with a capital", plant: inOne("revisions", "options", word(capital))},
	{name: "a circuit from nowhere", plant: inOne("ratings", "circuit", invented)},
	{name: "a load from nowhere", plant: inOne("loads", "circuit", invented)},
	{name: "an option from nowhere", plant: inOne("builds", "needs", word(invented))},
	{name: "a key misspelt", plant: inOne("layouts", "key", func(_ *planting, c string) string { return c + "x" }), mayPass: unlessStored},

	// Dates.
	{name: "day and month exchanged in builds", plant: inWhole("builds", "made_from", monthAndDay)},
	{name: "day and month exchanged in one build", plant: inOne("builds", "made_from", monthAndDay)},
	{name: "day and month exchanged in revisions", plant: inWhole("revisions", "made_from", monthAndDay)},
	{name: "a year of the next century", plant: inOne("builds", "made_from", century("21"))},
	{name: "a year of the last century but one", plant: inOne("models", "made_from", century("18"))},
	{name: "a year of a thousand years ago", plant: inOne("revisions", "made_from", century("10"))},
	{name: "years of two digits", plant: inWhole("builds", "made_from", func(_ *planting, c string) string { return c[2:] })},

	// Files cut short, rows twice.
	{name: "the last row cut", plant: cutLastRow},
	{name: "the last line end lost", plant: withoutLastLineEnd},
	{name: "half the configurations gone", plant: halfGone("configurations"), storedOnly: true},
	{name: "half the ratings gone", plant: halfGone("ratings"), storedOnly: true},
	{name: "half the revisions gone", plant: halfGone("revisions"), storedOnly: true},
	{name: "a row twice with other values", plant: twice},
	{name: "a cell moved to the right", plant: movedRight},

	// Characters.
	{name: "a homoglyph in the part of a board", plant: inOne("boards", "part_number", homoglyph)},
	{name: "a homoglyph in a circuit", plant: inOne("ratings", "circuit", homoglyph)},
	{name: "a homoglyph in an option", plant: inOne("builds", "needs", word(homoglyph))},
	{name: "a homoglyph in a model", plant: inOne("models", "model", homoglyph)},
	{name: "homoglyphs in the brand of all models", plant: inWhole("models", "brand", homoglyph)},
	{name: "a homoglyph in a layout", plant: inOne("layouts", "layout", homoglyph)},
	{name: "a homoglyph in a code", plant: inOne("configurations", "code", homoglyph)},
	{name: "O for 0 in a part of a build", plant: inOne("builds", "part_number", mistakenDigit)},
	{name: "l for 1 in a model of configurations", plant: inOne("configurations", "model", mistakenDigit)},
	{name: "O for 0 in a part of stock", plant: inOne("stock", "part_number", mistakenDigit)},
	{name: "O for 0 in the part of a revision", plant: inOne("revisions", "part_number", mistakenDigit)},
	{name: "O for 0 in the part of a board", plant: inOne("boards", "part_number", mistakenDigit)},
	{name: "O for 0 in a model", plant: inOne("models", "model", mistakenDigit)},
	{name: "spaces behind", plant: inWhole("ratings", "circuit", suffixed("  "))},
	{name: "no-break spaces behind", plant: inWhole("revisions", "part_number", suffixed("\u00a0"))},
	{name: "digits of a GTIN exchanged", plant: inOne("boards", "gtin", neighbours)},
	{name: "a GTIN as a power of ten", plant: inWhole("boards", "gtin", scientific)},
	{name: "serials as powers of ten", plant: inWhole("builds", "serial_from", scientific)},
	{name: "variants as powers of ten", plant: inWhole("models", "variant", scientific)},
	{name: "zeros lost before patterns", plant: inWhole("configurations", "pattern", zerosLost)},
	{name: "a column without its header", plant: headerLost},
}

// used are the symbols at each place of the codes of a family.
func used(g *grid, family string) (places []map[string]bool) {
	for _, row := range g.rows {
		if row[g.at("family")] != family {
			continue
		}
		for i, s := range symbolsOf(row[g.at("code")]) {
			if i == len(places) {
				places = append(places, map[string]bool{})
			}
			places[i][s] = true
		}
	}
	return places
}

func symbolsOf(code string) []string {
	if symbols := strings.Fields(code); len(symbols) != 1 {
		return symbols
	}
	return strings.Split(code, "")
}

func unusedSymbol(p *planting) bool { return swapSymbol(p, false) }
func otherSymbol(p *planting) bool  { return swapSymbol(p, true) }

// swapSymbol replaces a symbol of a code by another of the selector, which is used at
// that place or is not.
func swapSymbol(p *planting, isUsed bool) bool {
	g, families := p.edit("configurations"), p.clean["families"]
	for range 50 {
		i, ok := p.pick(g.recorded("code"))
		if !ok {
			return false
		}
		row := g.rows[i]
		var selector []string
		for _, f := range families.rows {
			if f[families.at("family")] == row[g.at("family")] {
				selector = strings.Fields(f[families.at("selector")])
			}
		}
		places, code := used(g, row[g.at("family")]), symbolsOf(row[g.at("code")])
		if len(selector) < 5 || len(places) != len(code) {
			continue // of a few symbols any is used some day
		}
		at, symbol := p.random.IntN(len(code)), selector[p.random.IntN(len(selector))]
		if code[at] == symbol || places[at][symbol] != isUsed {
			continue
		}
		code[at] = symbol
		p.line, p.original, p.planted = i+2, row[g.at("code")], strings.Join(code, " ")
		row[g.at("code")] = p.planted
		p.spoil(i)
		return true
	}
	return false
}

func otherPoint(p *planting, cell string) string {
	at := p.random.IntN(len(cell))
	to := map[byte]string{'0': "1", '1': "0", 'f': "0"}[cell[at]]
	if to == "" {
		return cell
	}
	return cell[:at] + to + cell[at+1:]
}

func cutLastRow(p *planting) bool {
	files := []string{"revisions", "configurations", "ratings", "builds"}
	name := files[p.random.IntN(len(files))]
	text := strings.TrimRight(p.edit(name).csv(), "\r\n")
	last := text[strings.LastIndexByte(text, '\n')+1:]
	text = text[:len(text)-len(last)/3]
	p.raw = map[string]string{name + ".csv": text}
	p.whole = true
	return true
}

func withoutLastLineEnd(p *planting) bool {
	p.raw = map[string]string{"revisions.csv": strings.TrimRight(p.edit("revisions").csv(), "\r\n")}
	p.whole = true
	return true
}

// halfGone keeps less than half of the rows, in a bundle that replaces the families.
func halfGone(file string) func(*planting) bool {
	return func(p *planting) bool {
		g := p.edit(file)
		g.rows = g.rows[:len(g.rows)*2/5]
		for _, row := range p.clean["families"].rows {
			p.replace = append(p.replace, row[0])
		}
		p.whole = true
		return true
	}
}

func twice(p *planting) bool {
	g := p.edit("ratings")
	i, ok := p.pick(g.recorded("max_amps"))
	if !ok {
		return false
	}
	row := slices.Clone(g.rows[i])
	row[g.at("max_amps")] = "25"
	g.rows = append(g.rows, row)
	p.spoil(len(g.rows) - 1)
	return true
}

// movedRight inserts an empty cell in a row, whose last empty cell is lost.
func movedRight(p *planting) bool {
	g := p.edit("revisions")
	for range 50 {
		i, ok := p.pick(g.recorded("layout"))
		if !ok {
			return false
		}
		row := g.rows[i]
		if row[len(row)-1] != "" {
			continue
		}
		at := 2 + p.random.IntN(len(row)-3)
		moved := slices.Insert(slices.Clone(row[:len(row)-1]), at, "")
		if slices.Equal(moved, row) {
			continue
		}
		g.rows[i] = moved
		p.spoil(i)
		return true
	}
	return false
}

func scientific(_ *planting, cell string) string {
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil || x < 1e5 {
		return cell
	}
	exponent := math.Floor(math.Log10(x))
	return strconv.FormatFloat(x/math.Pow(10, exponent), 'f', 2, 64) + "E+" + strconv.Itoa(int(exponent))
}

func zerosLost(_ *planting, cell string) string {
	if strings.Trim(cell, "0123456789") != "" {
		return cell
	}
	if trimmed := strings.TrimLeft(cell, "0"); trimmed != "" {
		return trimmed
	}
	return "0"
}

func headerLost(p *planting) bool {
	g := p.edit("revisions")
	g.header[g.at("options")] = "fitted"
	p.whole = true
	return true
}
