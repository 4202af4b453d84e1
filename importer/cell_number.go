package importer

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"standin"
	"standin/importer/table"
)

// largest is the greatest number that a bundle may hold; -largest is the least.
// Nothing on a board comes near it; a part number in the wrong column does.
const largest = 1_000_000_000

var (
	wholePattern   = regexp.MustCompile(`^[+-]?\d+$`)
	numberPattern  = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)$`)
	expPattern     = regexp.MustCompile(`^[+-]?\d+(\.\d+)?[eE][+-]?\d{1,2}$`)
	decimalComma   = regexp.MustCompile(`^[+-]?\d*,\d+$`)
	eitherComma    = regexp.MustCompile(`^[+-]?[1-9]\d{0,2},\d{3}$`)
	groupedComma   = regexp.MustCompile(`^[+-]?\d{1,3}(,\d{3})+\.\d+$|^[+-]?\d{1,3}(,\d{3}){2,}$`)
	withUnit       = regexp.MustCompile(`^([+-]?\d+(?:\.\d+)?)\s*(?:[[:alpha:]]{1,4}|[Ωµ°%~"])$`)
	wholeByAPoint  = regexp.MustCompile(`^([+-]?\d+)\.0*$`)
	betweenNumbers = regexp.MustCompile(`\s*[;/&+]\s*|,\s+|\s+`)
)

func parseInteger(c standin.Column, text string) (int64, *table.Fault) {
	if !wholePattern.MatchString(text) {
		f := table.BadValue("%s is not a whole number; write it in digits", table.Quoted(text))
		if m := wholeByAPoint.FindStringSubmatch(text); m != nil {
			return 0, f.Correct(m[1])
		}
		correction := asNumber(text)
		if !wholePattern.MatchString(correction) {
			correction = ""
		}
		return 0, f.Correct(correction)
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return 0, tooFar(text)
	}
	return n, inRange(c, text, float64(n))
}

func parseNumber(c standin.Column, text string) (float64, *table.Fault) {
	if !numberPattern.MatchString(text) {
		return 0, notANumber(text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, tooFar(text)
	}
	return x, inRange(c, text, x)
}

// parseNumbers reads numbers separated by spaces, or by slashes where the column is
// written so. It returns each once, ascending.
func parseNumbers(c standin.Column, text string) ([]float64, *table.Fault) {
	words, between, form := strings.Fields(text), " ", "spaces between, as 50 60"
	if c.Slashes {
		words, between, form = strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == ' ' }), "/", "a slash between, as 50/60"
	}
	var all []float64
	for _, word := range words {
		if !numberPattern.MatchString(word) {
			return nil, table.BadValue("%s is not a list of numbers; write them with %s", table.Quoted(text), form).Correct(listed(text, between))
		}
		x, f := parseNumber(c, word)
		if f != nil {
			return nil, f
		}
		all = append(all, x)
	}
	if len(all) == 0 {
		return nil, table.BadValue("%s is not a list of numbers; write them with %s", table.Quoted(text), form)
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}

// listed returns the whole numbers in text with the separator between them and
// without a unit, "" where they are not all whole numbers. A comma without a space
// after it separates nothing, because it may be a decimal comma.
func listed(text, between string) string {
	words := betweenNumbers.Split(strings.TrimRight(text, "HhZz \u00a0"), -1)
	for _, word := range words {
		if !wholePattern.MatchString(word) {
			return ""
		}
	}
	return strings.Join(words, between)
}

func inRange(c standin.Column, text string, x float64) *table.Fault {
	switch {
	case x > largest || x < -largest:
		return tooFar(text)
	case c.Above && x <= c.Min:
		return table.BadValue("%s must be more than %s", table.Quoted(text), decimal(c.Min))
	case c.Max > 0 && x > c.Max:
		return table.BadValue("%s must be at most %s", table.Quoted(text), decimal(c.Max))
	case x < c.Min && !c.Above:
		return table.BadValue("%s must be at least %s", table.Quoted(text), decimal(c.Min))
	}
	return nil
}

func tooFar(text string) *table.Fault {
	return table.BadValue("%s is too large a number; the largest is %d", table.Quoted(text), largest)
}

func notANumber(text string) *table.Fault {
	switch {
	case eitherComma.MatchString(text):
		return table.BadValue("%s has a comma that may part decimals or thousands; write a decimal point and nothing between thousands", table.Quoted(text))
	case decimalComma.MatchString(text):
		return table.BadValue("%s has a decimal comma; write a decimal point", table.Quoted(text)).Correct(asNumber(text))
	}
	return table.BadValue("%s is not a number; write digits, with a decimal point where needed", table.Quoted(text)).Correct(asNumber(text))
}

// asNumber returns the number that was meant by text of another form, "" where that
// is not certain.
func asNumber(text string) string {
	switch {
	case eitherComma.MatchString(text):
	case decimalComma.MatchString(text):
		return strings.Replace(strings.Replace(text, ",", ".", 1), "+", "", 1)
	case groupedComma.MatchString(text):
		return strings.ReplaceAll(text, ",", "")
	case table.PointsPartThousands(text):
		return strings.Replace(strings.ReplaceAll(text, ".", ""), ",", ".", 1)
	case expPattern.MatchString(text):
		if x, err := strconv.ParseFloat(text, 64); err == nil && x <= largest {
			return decimal(x)
		}
	}
	if m := withUnit.FindStringSubmatch(text); m != nil {
		return m[1]
	}
	return ""
}

// decimal returns a number in its shortest form without an exponent.
func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
