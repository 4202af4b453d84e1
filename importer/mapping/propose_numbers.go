package mapping

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"standin/importer/table"
)

// quantity is what a number of a role may be.
type quantity struct {
	unit        string             // of a bundle
	factors     map[string]float64 // by which other units are multiplied, in lower case
	least, most float64            // what is plausible, in the unit of a bundle [P]
}

// quantities are what numbers of appliances and their boards may be.
var quantities = map[role]quantity{
	wattsRole:    {"W", map[string]float64{"w": 1, "watt": 1, "kw": 1000, "kva": 1000, "va": 1}, 3, 20_000},
	ampsRole:     {"A", map[string]float64{"a": 1, "ma": 0.001}, 0.002, 100},
	ohmsRole:     {"Ω", map[string]float64{"ohm": 1, "ω": 1, "kohm": 1000, "kω": 1000}, 0.1, 200_000},
	ohmsLowRole:  {"Ω", map[string]float64{"ohm": 1, "ω": 1, "kohm": 1000, "kω": 1000}, 0.1, 200_000},
	ohmsHighRole: {"Ω", map[string]float64{"ohm": 1, "ω": 1, "kohm": 1000, "kω": 1000}, 0.1, 200_000},
	voltsRole:    {"V", map[string]float64{"v": 1, "volt": 1, "kv": 1000}, 5, 700},
	hertzRole:    {"Hz", map[string]float64{"hz": 1}, 16, 400},
	quantityRole: {"", nil, 0, 1e6},
	waysRole:     {"", nil, 1, 100},
	issueRole:    {"", nil, 1, 100},
	pitchRole: {"mm", map[string]float64{"mm": 1, "cm": 10, "in": 25.4, "inch": 25.4, "\"": 25.4, "zoll": 25.4, "pouces": 25.4, "pollici": 25.4,
		"pulgadas": 25.4, "duim": 25.4, "cale": 25.4, "mil": 0.0254, "mils": 0.0254}, 0.5, 30},
}

var (
	groupsOfThree = regexp.MustCompile(`^[+-]?\d{1,3}(?:([.,' ])\d{3})+$`)
	mixedNumber   = regexp.MustCompile(`^[+-]?\d{1,3}(?:[.,' ]\d{3})+([.,])\d+$`)
	oneSeparator  = regexp.MustCompile(`^[+-]?(\d+)([.,])(\d+)$`)
)

// bare returns a number without its unit, and the unit.
func bare(text string) (number, unit string) {
	text = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "’", "'").Replace(table.Trim(strings.TrimLeft(text, "€$£ ")))
	if m := withAUnit.FindStringSubmatch(text); m != nil {
		return table.Trim(m[1]), m[2]
	}
	return text, ""
}

// decimalOf returns what parts the decimals of a number that can be read in one way only,
// "" of others.
func decimalOf(text string) string {
	number, _ := bare(text)
	if m := mixedNumber.FindStringSubmatch(number); m != nil {
		return m[1]
	}
	m := oneSeparator.FindStringSubmatch(number)
	if m == nil || len(m[3]) == 3 && len(m[1]) < 4 && m[1] != "0" {
		return ""
	}
	return m[2]
}

// findDecimals finds out what parts decimals in the table.
func (s *sampled) findDecimals() {
	for _, c := range s.columns {
		if _, ok := quantities[c.role]; !ok && c.role != unusedRole {
			continue
		}
		for _, v := range c.distinct() {
			s.comma = s.comma || decimalOf(v) == ","
			s.point = s.point || decimalOf(v) == "."
		}
	}
}

// numbers is how a column writes numbers.
type numbers struct {
	comma     bool
	thousands string // empty: nothing parts them
	guessed   bool   // which of the two a sign parts cannot be told
	units     map[string]bool
	without   []float64 // the numbers that have no unit
}

// numbersOf finds out how a column writes numbers.
func (s *sampled) numbersOf(c *column, q quantity) numbers {
	n := numbers{units: map[string]bool{}}
	grouped := ""
	for i, v := range c.values {
		if c.kinds[i] != table.TextCell {
			continue
		}
		number, _ := bare(v)
		n.comma = n.comma || decimalOf(v) == ","
		if m := groupsOfThree.FindStringSubmatch(number); m != nil {
			grouped = m[1]
		}
	}
	switch {
	case grouped == "" || grouped == "," && n.comma:
	case grouped == "." || grouped == ",":
		decimal := grouped == "," && s.comma || grouped == "." && s.point && !n.comma
		told := s.comma || s.point || q.factors == nil
		if !told {
			decimal, told = s.decimals(c, q, grouped)
		}
		if n.guessed = !told; !decimal {
			n.thousands = grouped
		}
		n.comma = n.comma || decimal && grouped == ","
	default:
		n.thousands = grouped
	}
	n.comma = n.comma || n.thousands == "." // a point cannot part both
	for i, v := range c.values {
		number, unit := bare(v)
		if unit != "" && c.kinds[i] == table.TextCell {
			n.units[unit] = true
			continue
		}
		if x, ok := n.value(number); ok {
			n.without = append(n.without, x)
		}
	}
	return n
}

// decimals reports whether a sign parts decimals rather than thousands, as far as only one
// of the two gives plausible numbers.
func (s *sampled) decimals(c *column, q quantity, sign string) (decimal, told bool) {
	as := func(n numbers) bool {
		for _, v := range c.distinct() {
			number, _ := bare(v)
			if x, ok := n.value(number); ok && (x < q.least || x > q.most) {
				return false
			}
		}
		return true
	}
	decimals, thousands := as(numbers{comma: sign == ","}), as(numbers{comma: sign == ".", thousands: sign})
	return decimals && !thousands, decimals != thousands
}

// value returns a number as the column writes them.
func (n numbers) value(text string) (float64, bool) {
	if n.thousands != "" {
		text = strings.ReplaceAll(text, n.thousands, "")
	}
	if n.comma {
		text = strings.Replace(strings.ReplaceAll(text, ".", ""), ",", ".", 1)
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil
}

// words returns the keys with which a mapping reads the numbers, and what a person should
// look at. A unit of the header that the values contradict is not taken.
func (s *sampled) numberWords(c *column) (words []string, remark string) {
	q := quantities[c.role]
	n := s.numbersOf(c, q)
	if n.comma {
		words = append(words, "decimal: comma")
	}
	for name, sign := range separators {
		if sign == n.thousands {
			words = append(words, "thousands: "+name)
		}
	}
	if n.guessed {
		remark = "; whether the sign parts thousands or decimals is a guess"
	}
	if unit := n.unitWords(q); unit != "" {
		words = append(words, unit)
	}
	factor, said := q.factors[c.says.unit], strings.Trim(bracketedUnit(c.header, c.says.unit), "[]()")
	switch {
	case factor == 0 || factor == 1 || len(n.without) == 0:
		if q.factors != nil && len(n.without) > 0 && !n.plausible(q, 1) {
			c.sure = unsure
			remark += fmt.Sprintf("; as %s the values would be far from usual", q.unit)
		}
	case n.plausible(q, factor):
		words = append(words, "factor: "+strconv.FormatFloat(factor, 'f', -1, 64))
		remark += "; the header says " + said
	case n.plausible(q, 1):
		c.sure = unsure
		remark += fmt.Sprintf("; the header says %s, which the values contradict: they are taken as %s", said, q.unit)
	default:
		c.sure = unsure
		remark += fmt.Sprintf("; the header says %s, but neither that nor %s is plausible", said, q.unit)
	}
	return words, remark
}

// bracketedUnit returns the unit of a header as it is written there.
func bracketedUnit(header, unit string) string {
	if at := strings.Index(strings.ToLower(header), unit); at >= 0 && at+len(unit) <= len(header) {
		return header[at : at+len(unit)]
	}
	return unit
}

// plausible reports whether most numbers without a unit are usual, times a factor.
func (n numbers) plausible(q quantity, factor float64) bool {
	usual := 0
	for _, x := range n.without {
		if x *= factor; x == 0 || x >= q.least && x <= q.most {
			usual++
		}
	}
	return usual*5 >= len(n.without)*4
}

// unitWords returns the key for the units that stand in the cells, "" where there are none.
func (n numbers) unitWords(q quantity) string {
	all := slices.Sorted(maps.Keys(n.units))
	if len(all) == 0 {
		return ""
	}
	var pairs []string
	same := true
	for _, unit := range all {
		factor, ok := q.factors[strings.ToLower(strings.TrimSuffix(unit, "~"))]
		if !ok {
			factor = 1
		}
		same = same && factor == 1
		pairs = append(pairs, scalar(unit)+": "+strconv.FormatFloat(factor, 'f', -1, 64))
	}
	if same {
		return "unit: " + list(all)
	}
	return "unit: {" + strings.Join(pairs, ", ") + "}"
}
