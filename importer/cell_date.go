package importer

import (
	"regexp"
	"strconv"
	"strings"

	"standin"
	"standin/importer/table"
)

// parseDate returns the first day of the span that text names in a from column, the
// last in a to column.
func parseDate(kind standin.Kind, text string) (standin.Date, *table.Fault) {
	span, err := standin.ParseDate(text)
	if err != nil {
		return 0, table.BadValue("%s", err).Correct(asDate(text))
	}
	if kind == standin.ToDate {
		return span.To.V, nil
	}
	return span.From.V, nil
}

var (
	timeOfDay  = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})[ T]\d{2}:\d{2}(:\d{2}(\.0+)?)?Z?$`)
	yearFirst  = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})(?:[-/.](\d{1,2}))?$`)
	yearLast   = regexp.MustCompile(`^(?:(\d{1,2})[-/.])?(\d{1,2})[-/.](\d{4})$`)
	looseWeek  = regexp.MustCompile(`^(\d{4})[- /]?[Ww](\d{1,2})$`)
	compactDay = regexp.MustCompile(`^((?:19|20)\d{2})(\d{2})(\d{2})$`)
)

// asDate returns the date that was meant by text of another form, "" where that is
// not certain: 03/04/2004 may be in March or April.
func asDate(text string) string {
	var date string
	if m := timeOfDay.FindStringSubmatch(text); m != nil {
		date = m[1]
	} else if m := looseWeek.FindStringSubmatch(text); m != nil {
		date = m[1] + "-W" + table.TwoDigits(m[2])
	} else if m := yearFirst.FindStringSubmatch(text); m != nil {
		date = table.ISODate(m[1], m[2], m[3])
	} else if m := compactDay.FindStringSubmatch(text); m != nil {
		date = table.ISODate(m[1], m[2], m[3])
	} else if m := yearLast.FindStringSubmatch(text); m != nil {
		date = local(text, m[1], m[2], m[3])
	}
	if _, err := standin.ParseDate(date); err != nil {
		return ""
	}
	return date
}

// local returns a date written with the year last. With points the day comes first;
// otherwise a number above 12, or two equal ones, must show which is the day.
func local(text, first, second, year string) string {
	if first == "" {
		return table.ISODate(year, second, "")
	}
	a, _ := strconv.Atoi(first)
	b, _ := strconv.Atoi(second)
	switch {
	case strings.Contains(text, "."), a > 12, a == b:
		return table.ISODate(year, second, first)
	case b > 12:
		return table.ISODate(year, first, second)
	}
	return ""
}
