package standin

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
)

// Date is a day of the proleptic Gregorian calendar, as days since 1970-01-01.
type Date int32

// NewDate is the given day; month and day beyond their range carry over as in
// time.Date.
func NewDate(year int, month time.Month, day int) Date {
	return Date(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Time is midnight UTC of the day.
func (d Date) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// String is the day as ISO 8601, 2004-09-17.
func (d Date) String() string { return d.Time().Format(time.DateOnly) }

// Span is a run of days, both ends included. An end that is not recorded is
// open; the zero Span is all time.
type Span struct {
	From, To Maybe[Date]
}

// Days is the closed span from one day to another.
func Days(from, to Date) Span { return Span{Known(from), Known(to)} }

// Overlaps tells whether the spans share a day.
func (s Span) Overlaps(t Span) bool {
	return startsBy(s, t.To) && startsBy(t, s.To)
}

func startsBy(s Span, end Maybe[Date]) bool {
	return !s.From.Known || !end.Known || s.From.V <= end.V
}

// Cut is the part of s inside t, and whether there is any.
func (s Span) Cut(t Span) (Span, bool) {
	if !s.Overlaps(t) {
		return Span{}, false
	}
	if t.From.Known && (!s.From.Known || t.From.V > s.From.V) {
		s.From = t.From
	}
	if t.To.Known && (!s.To.Known || t.To.V < s.To.V) {
		s.To = t.To
	}
	return s, true
}

// String is the span for people: "2001-03-01 to 2003-05-31", "from …",
// "until …", or "any date".
func (s Span) String() string {
	switch {
	case s.From.Known && s.To.Known && s.From == s.To:
		return s.From.V.String()
	case s.From.Known && s.To.Known:
		return s.From.V.String() + " to " + s.To.V.String()
	case s.From.Known:
		return "from " + s.From.V.String()
	case s.To.Known:
		return "until " + s.To.V.String()
	}
	return "any date"
}

// DateForms are the forms ParseDate accepts, for messages.
const DateForms = "2004, 2004-09, 2004-09-17 or 2004-W38"

var (
	datePattern = regexp.MustCompile(`^(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?$`)
	weekPattern = regexp.MustCompile(`^(\d{4})-W(\d{2})$`)
)

// ParseDate is the span of days that a date names: a year, a month, a day or an
// ISO 8601 week. Anything else is an error that shows the accepted forms.
func ParseDate(text string) (Span, error) {
	if m := weekPattern.FindStringSubmatch(text); m != nil {
		span, ok := isoWeek(number(m[1]), number(m[2]))
		if !ok {
			return Span{}, fmt.Errorf("%s has no week %s", m[1], m[2])
		}
		return span, nil
	}
	m := datePattern.FindStringSubmatch(text)
	if m == nil || m[1] == "0000" {
		return Span{}, fmt.Errorf("%q is not a date; write it as %s", text, DateForms)
	}
	year := number(m[1])
	switch {
	case m[2] == "":
		return Days(NewDate(year, 1, 1), NewDate(year, 12, 31)), nil
	case number(m[2]) < 1 || number(m[2]) > 12:
		return Span{}, fmt.Errorf("%q has no month %s; write a date as %s", text, m[2], DateForms)
	case m[3] == "":
		return month(year, number(m[2])), nil
	}
	day := NewDate(year, time.Month(number(m[2])), number(m[3]))
	if day.String() != text {
		return Span{}, fmt.Errorf("%q is not a day of the calendar; write a date as %s", text, DateForms)
	}
	return Days(day, day), nil
}

func month(year, m int) Span {
	return Days(NewDate(year, time.Month(m), 1), NewDate(year, time.Month(m)+1, 1)-1)
}

// isoWeek is the seven days of an ISO 8601 week, and whether the year has it.
// Week 1 is the one with 4 January in it.
func isoWeek(year, week int) (Span, bool) {
	fourth := NewDate(year, 1, 4)
	monday := fourth - Date((int(fourth.Time().Weekday())+6)%7) + Date(7*(week-1))
	if y, w := monday.Time().ISOWeek(); y != year || w != week {
		return Span{}, false
	}
	return Days(monday, monday+6), true
}

// number is the value of digits that a pattern has let through.
func number(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}
