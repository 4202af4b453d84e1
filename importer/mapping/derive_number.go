package mapping

import (
	"math/big"
	"regexp"
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// separators are the names of what parts thousands.
var separators = map[string]string{"point": ".", "comma": ",", "space": " ", "apostrophe": "'"}

// number returns a number with a decimal point, without thousands and unit, and
// multiplied as the mapping says.
func (c *cell) number(text string, kind table.CellKind) (string, *table.Fault) {
	factor := c.factor
	if kind != table.NumberCell {
		text, factor = c.withoutUnit(text)
		var f *table.Fault
		if f = c.otherUnit(text); f != nil {
			return "", f
		}
		if text, f = c.pointed(text); f != nil {
			return "", f
		}
	}
	if factor == nil {
		return text, nil
	}
	return multiplied(text, factor)
}

// withoutUnit takes the unit off a number and returns by what it is multiplied.
func (c *cell) withoutUnit(text string) (string, *big.Rat) {
	length, factor := 0, c.factor
	for _, u := range c.units {
		if at := len(text) - len(u.name); at >= 0 && len(u.name) > length && strings.EqualFold(text[at:], u.name) {
			length = len(u.name)
			if factor = c.factor; u.factor != nil {
				factor = u.factor
			}
		}
	}
	return table.Trim(text[:len(text)-length]), factor
}

// otherUnit returns the fault of a number with a unit that the mapping does not have, where
// it matters which one it is.
func (c *cell) otherUnit(text string) *table.Fault {
	m := unitBehind.FindStringSubmatch(text)
	if m == nil || c.factor == nil && !slices.ContainsFunc(c.units, func(u unit) bool { return u.factor != nil }) {
		return nil
	}
	known := []string{"no unit"}
	for _, u := range c.units {
		known = append(known, u.name)
	}
	return table.BadValue("%s has the unit %s; the mapping has %s", table.Quoted(text), table.Quoted(m[1]), table.List(known))
}

var volts = strings.NewReplacer("–", "-", " - ", "-", "...", "-", "…", "-")

// pointed returns a number with a decimal point and nothing between thousands. Where
// the mapping does not say what parts thousands, points do before a decimal comma.
func (c *cell) pointed(text string) (string, *table.Fault) {
	if c.column.Kind == standin.VoltsCell {
		text = volts.Replace(text)
	}
	decimal := "."
	if c.comma {
		decimal = ","
	}
	switch {
	case c.thousands != "":
		spaces := strings.NewReplacer("\u00a0", " ", "\u202f", " ", "’", "'")
		if spaced := spaces.Replace(text); strings.Contains(spaced, c.thousands) {
			if !grouped(c.thousands, decimal).MatchString(spaced) {
				return "", table.BadValue("%s has %q where it parts no thousands", table.Quoted(text), c.thousands)
			}
			text = strings.ReplaceAll(spaced, c.thousands, "")
		}
	case c.comma && table.PointsPartThousands(text):
		text = strings.ReplaceAll(text, ".", "")
	}
	if c.comma && strings.Contains(text, ".") {
		return "", table.BadValue("%s has a point, but the mapping says that a comma parts the decimals", table.Quoted(text))
	}
	if c.comma {
		text = strings.Replace(text, ",", ".", 1)
	}
	return text, nil
}

var groups = map[[2]string]*regexp.Regexp{}

func init() {
	for _, between := range separators {
		for _, decimal := range []string{".", ","} {
			groups[[2]string{between, decimal}] = regexp.MustCompile(
				`^[+-]?\d{1,3}(` + regexp.QuoteMeta(between) + `\d{3})+(` + regexp.QuoteMeta(decimal) + `\d+)?$`)
		}
	}
}

// grouped matches numbers whose thousands are parted.
func grouped(between, decimal string) *regexp.Regexp { return groups[[2]string{between, decimal}] }

var plainNumber = regexp.MustCompile(`^[+-]?\d{1,12}(\.\d{1,12})?$`)

// multiplied returns a number times a factor, exact to twelve decimals.
func multiplied(text string, factor *big.Rat) (string, *table.Fault) {
	x, ok := new(big.Rat).SetString(text)
	if !ok || !plainNumber.MatchString(text) {
		return "", table.BadValue("%s is not a number that can be multiplied", table.Quoted(text))
	}
	const decimals = 12
	product := x.Mul(x, factor).FloatString(decimals)
	return strings.TrimSuffix(strings.TrimRight(product, "0"), "."), nil
}
