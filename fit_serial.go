package standin

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
)

// SerialRule reads a date of making out of a serial number.
type SerialRule struct {
	Name     string
	Pattern  string
	YearBase Maybe[int] // what a two-digit year is added to

	expression *regexp.Regexp
}

// The named groups of a serial rule.
var (
	yearGroups = []string{"y1", "y2", "y4", "yl"}
	partGroups = []string{"m", "ml", "w", "d"}
)

// NewSerialRule compiles a rule. The pattern is a regular expression (RE2) with
// named groups: a year as y1, y2 or y4 digits or yl (IEC 60062 letter), and
// optionally m (month number), ml (IEC 60062 month), w (ISO 8601 week) or d (day of
// the year).
func NewSerialRule(name, pattern string, yearBase Maybe[int]) (*SerialRule, error) {
	expression, err := regexp.Compile(pattern)
	if err != nil {
		return nil, fmt.Errorf("%q is not a regular expression: %w", pattern, err)
	}
	year := false
	for _, group := range expression.SubexpNames() {
		switch {
		case slices.Contains(yearGroups, group):
			year = true
		case group != "" && !slices.Contains(partGroups, group):
			return nil, fmt.Errorf("%q has a group named %s; the names are %s", pattern, group,
				strings.Join(append(slices.Clone(yearGroups), partGroups...), ", "))
		}
	}
	if !year {
		return nil, fmt.Errorf("%q has no group for the year; name one y1, y2, y4 or yl, as (?P<y2>[0-9]{2})", pattern)
	}
	return &SerialRule{name, pattern, yearBase, expression}, nil
}

// The years that are tried where a rule leaves the century or the decade open and
// the model's production span does not: no appliance had a control board before.
const (
	firstYear = 1950
	lastYear  = 2099
)

// Spans returns the spans of days that a serial may mean, cut to the production
// span, in order of time. There are none where the rule does not match the serial,
// or reads no date within the production span; matched reports which.
func (r *SerialRule) Spans(serial string, production Span) (spans []Span, matched bool) {
	groups := r.groups(serial)
	if groups == nil {
		return nil, false
	}
	from, to := firstYear, lastYear
	if year, ok := r.fullYear(groups); ok {
		from, to = year, year
	}
	for year := from; year <= to; year++ {
		if !r.meansYear(groups, year) {
			continue
		}
		span, ok := partOfYear(groups, year)
		if !ok {
			continue
		}
		if span, ok = span.Cut(production); ok {
			spans = append(spans, span)
		}
	}
	return spans, true
}

// groups returns the named groups of a serial as typed, else in capitals; nil where
// the pattern matches neither.
func (r *SerialRule) groups(serial string) map[string]string {
	m := r.expression.FindStringSubmatch(serial)
	if m == nil {
		m = r.expression.FindStringSubmatch(strings.ToUpper(serial))
	}
	if m == nil {
		return nil
	}
	groups := map[string]string{}
	for i, name := range r.expression.SubexpNames() {
		if name != "" && m[i] != "" {
			groups[name] = m[i]
		}
	}
	return groups
}

// fullYear returns the year of a serial that gives the century too.
func (r *SerialRule) fullYear(groups map[string]string) (year int, ok bool) {
	if text := groups["y4"]; allDigits(text) {
		return number(text), len(text) <= len("9999")
	}
	if text := groups["y2"]; allDigits(text) && r.YearBase.Known {
		return r.YearBase.V + number(text), true
	}
	return 0, false
}

// meansYear reports whether every year group of the serial allows the year.
func (r *SerialRule) meansYear(groups map[string]string, year int) bool {
	given := false
	for _, name := range yearGroups {
		text, ok := groups[name]
		if !ok {
			continue
		}
		given = true
		switch name {
		case "y1":
			ok = allDigits(text) && year%10 == number(text)
		case "y2":
			ok = allDigits(text) && (r.YearBase.Known && year == r.YearBase.V+number(text) ||
				!r.YearBase.Known && year%100 == number(text))
		case "y4":
			ok = allDigits(text) && year == number(text)
		case "yl":
			ok = yearHasLetter(year, text)
		}
		if !ok {
			return false
		}
	}
	return given
}

// partOfYear returns the week, day or month of the year that the groups name, else
// the whole year; false where the year has no such part.
func partOfYear(groups map[string]string, year int) (Span, bool) {
	if text, ok := groups["w"]; ok {
		if !allDigits(text) {
			return Span{}, false
		}
		return isoWeek(year, number(text))
	}
	if text, ok := groups["d"]; ok {
		day := NewDate(year, 1, number(text))
		return Days(day, day), allDigits(text) && number(text) >= 1 && day <= NewDate(year, 12, 31)
	}
	if text, ok := groups["m"]; ok {
		if !allDigits(text) || number(text) < 1 || number(text) > 12 {
			return Span{}, false
		}
		return month(year, number(text)), true
	}
	if text, ok := groups["ml"]; ok {
		m, ok := monthOfLetter(text)
		return month(year, int(m)), ok
	}
	return Days(NewDate(year, 1, 1), NewDate(year, 12, 31)), true
}

// yearLetters are the letters of IEC 60062:2016+A1:2019 in order from 1990 on,
// the same again every 20 years; G, I, O, Q, Y and Z are not used.
const yearLetters = "ABCDEFHJKLMNPRSTUVWX"

// monthLetters are the month characters of IEC 60062:2016+A1:2019 from January on.
const monthLetters = "123456789OND"

func yearHasLetter(year int, letter string) bool {
	i := strings.Index(yearLetters, letter)
	cycle := len(yearLetters)
	return len(letter) == 1 && i >= 0 && ((year-1990)%cycle+cycle)%cycle == i
}

func monthOfLetter(letter string) (time.Month, bool) {
	i := strings.Index(monthLetters, letter)
	return time.Month(i + 1), len(letter) == 1 && i >= 0
}

func allDigits(text string) bool {
	return text != "" && strings.Trim(text, "0123456789") == ""
}
