package mapping

import (
	"maps"
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// role is what a column of a supplier's table is taken for.
type role string

const (
	noRole      role = ""
	brandRole   role = "brand"
	modelRole   role = "model"
	variantRole role = "variant"
	kindRole    role = "kind"
	fromRole    role = "made_from"
	toRole      role = "made_to"
	voltsRole   role = "volts"
	hertzRole   role = "hertz"
	partRole    role = "part_number"
	titleRole   role = "title"
	gtinRole    role = "gtin"
	wattsRole   role = "watts"
	codeRole    role = "code"
	patternRole role = "pattern"
	sourceRole  role = "source"
)

// headerWords are the words in headers by which a role is recognised. Of two that
// match, the longer counts.
var headerWords = map[role][]string{
	brandRole:   {"brand", "make", "maker", "manufacturer", "marque", "label"},
	modelRole:   {"model", "models", "type", "appliance", "machine", "model no", "model number", "e-nr"},
	variantRole: {"variant", "product code", "product codes", "product no", "product number", "pnc", "suffix", "index"},
	kindRole:    {"kind", "category", "appliance type", "product group", "group"},
	fromRole:    {"from", "made from", "built from", "start", "first made", "production start", "sop", "cut-in"},
	toRole:      {"to", "made to", "built to", "until", "end", "last made", "production end", "eop"},
	voltsRole:   {"volts", "voltage", "supply", "v", "volt"},
	hertzRole:   {"hertz", "hz", "frequency"},
	partRole:    {"part", "part number", "part no", "board", "spare", "order no", "order number", "article", "article no", "item", "material"},
	titleRole:   {"title", "description", "designation", "text"},
	gtinRole:    {"gtin", "ean", "barcode", "upc"},
	wattsRole:   {"watts", "power", "heater", "w", "load", "rating"},
	codeRole:    {"code", "set-up code", "configuration", "setting", "programme", "program", "dial"},
	patternRole: {"pattern", "read-back", "readback", "lamps", "leds", "indicators", "display"},
	sourceRole:  {"source", "document", "sheet"},
}

// roleOf returns the role that a header names, and whether it names nothing else.
func roleOf(header string) (best role, exact bool) {
	words := " " + strings.Join(strings.FieldsFunc(strings.ToLower(header), func(r rune) bool {
		return table.Unseen(r) || strings.ContainsRune("_.:()[]#/", r)
	}), " ") + " "
	length := 0
	for _, r := range slices.Sorted(maps.Keys(headerWords)) {
		for _, word := range headerWords[r] {
			if len(word) > length && strings.Contains(words, " "+word+" ") {
				best, length, exact = r, len(word), strings.TrimSpace(words) == word
			}
		}
	}
	return best, exact
}

// usualTicks are the usual meanings of ticks.
var usualTicks = []struct {
	shows byte
	ticks []string
}{
	{standin.ShowsLit, []string{"x", "✓", "✔", "●", "■", "•", "yes", "y", "on", "lit", "1", "true", "ja", "oui", "si"}},
	{standin.ShowsUnlit, []string{"-", "–", "—", "○", "□", ".", "·", "no", "n", "off", "unlit", "0", "false", "nein", "non"}},
	{standin.ShowsFlashing, []string{"f", "fl", "flash", "flashing", "flashes", "blink", "blinks", "blinking", "*", "◐", "o"}},
	{standin.ShowsEither, []string{"?", "either", "any", "x/-"}},
}

// stateOf returns the usual meaning of a tick, "" for what is not a tick.
func stateOf(tick string) string {
	for _, u := range usualTicks {
		if slices.Contains(u.ticks, fold(tick)) {
			return standin.ShownWord(u.shows)
		}
	}
	return ""
}

// usualForms are the forms of dates that are looked for.
var usualForms = []string{"DD.MM.YYYY", "D.M.YYYY", "MM.YYYY", "M.YYYY", "MM/YYYY", "M/YYYY", "MM-YYYY", "DD/MM/YYYY", "MM/DD/YYYY",
	"D/M/YYYY", "M/D/YYYY", "DD-MM-YYYY", "YYYY/MM/DD", "YYYY/MM", "YYYY.MM.DD", "YYYY.MM", "YYYYMMDD", "WW/YYYY", "WW.YYYY", "YYYY/WW"}
