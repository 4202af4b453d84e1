package importer

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"standin"
)

// parseDate is the first day of what text names in a from column, the last in a
// to column.
func parseDate(kind standin.Kind, text string) (standin.Date, *fault) {
	span, err := standin.ParseDate(text)
	if err != nil {
		return 0, badValue("%s", err).correct(asDate(text))
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

// asDate is the date that was meant by text of another form, empty where that
// cannot be told: 03/04/2004 may be in March or April.
func asDate(text string) string {
	var date string
	if m := timeOfDay.FindStringSubmatch(text); m != nil {
		date = m[1]
	} else if m := looseWeek.FindStringSubmatch(text); m != nil {
		date = m[1] + "-W" + two(m[2])
	} else if m := yearFirst.FindStringSubmatch(text); m != nil {
		date = joined(m[1], m[2], m[3])
	} else if m := compactDay.FindStringSubmatch(text); m != nil {
		date = joined(m[1], m[2], m[3])
	} else if m := yearLast.FindStringSubmatch(text); m != nil {
		date = local(text, m[1], m[2], m[3])
	}
	if _, err := standin.ParseDate(date); err != nil {
		return ""
	}
	return date
}

// local is a date with the year last. With points the day comes first; else it
// must be seen from a number above 12, or from both being the same.
func local(text, first, second, year string) string {
	if first == "" {
		return joined(year, second, "")
	}
	a, _ := strconv.Atoi(first)
	b, _ := strconv.Atoi(second)
	switch {
	case strings.Contains(text, "."), a > 12, a == b:
		return joined(year, second, first)
	case b > 12:
		return joined(year, first, second)
	}
	return ""
}

func joined(year, month, day string) string {
	if day == "" {
		return year + "-" + two(month)
	}
	return fmt.Sprintf("%s-%s-%s", year, two(month), two(day))
}

func two(digits string) string { return strings.Repeat("0", 2-len(digits)) + digits }
