package standin_test

import (
	"strings"
	"testing"

	"standin"
)

func TestParseDate(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ text, want string }{
		{"2004", "2004-01-01 to 2004-12-31"},
		{"2004-02", "2004-02-01 to 2004-02-29"},
		{"2005-02", "2005-02-01 to 2005-02-28"},
		{"2004-12", "2004-12-01 to 2004-12-31"},
		{"2004-09-17", "2004-09-17"},
		{"2004-W38", "2004-09-13 to 2004-09-19"},
		// A year and a week as a date mark has them; worked example of IEC 60062:2016+A1:2019.
		{"2012-W08", "2012-02-20 to 2012-02-26"},
	} {
		span, err := standin.ParseDate(test.text)
		if err != nil || span.String() != test.want {
			t.Errorf("ParseDate(%q) = %v, %v; want %s", test.text, span, err, test.want)
		}
	}
}

func TestParseDateRefuses(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "17.09.2004", "09/17/2004", "04-09-17", "2004-13", "2004-00", "2004-02-30",
		"2005-02-29", "2004-9-1", "2004-W54", "2004-W00", "2004-w38", "0000", " 2004", "2004-09-17T00:00"} {
		if span, err := standin.ParseDate(text); err == nil {
			t.Errorf("ParseDate(%q) = %v; want an error", text, span)
		}
	}
	if _, err := standin.ParseDate("17.09.2004"); err == nil || !strings.Contains(err.Error(), standin.DateForms) {
		t.Errorf("the error %v does not show the forms that are accepted", err)
	}
}

// Week dates and their calendar dates, from the examples that ISO 8601 and its
// national adoptions give.
func TestISOWeeks(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		week, day string
		weekday   int // 1 Monday … 7 Sunday
	}{
		{"2004-W53", "2005-01-01", 6}, {"2005-W52", "2005-12-31", 6}, {"2005-W52", "2006-01-01", 7},
		{"2008-W01", "2007-12-31", 1}, {"2008-W52", "2008-12-28", 7}, {"2009-W01", "2008-12-29", 1},
		{"2009-W53", "2009-12-31", 4}, {"2009-W53", "2010-01-03", 7}, {"1985-W15", "1985-04-12", 5},
		{"2022-W52", "2022-12-31", 6},
	} {
		week, err := standin.ParseDate(test.week)
		if err != nil {
			t.Errorf("%s: %v", test.week, err)
			continue
		}
		if got := (week.From.V + standin.Date(test.weekday-1)).String(); got != test.day {
			t.Errorf("day %d of %s is %s; want %s", test.weekday, test.week, got, test.day)
		}
	}
}

// The years of 53 weeks from 2000 to 2027, from ISO 8601's definition as tabulated.
func TestYearsOf53Weeks(t *testing.T) {
	t.Parallel()
	long := map[string]bool{"2004": true, "2009": true, "2015": true, "2020": true, "2026": true}
	for year := 2000; year <= 2027; year++ {
		text := standin.NewDate(year, 1, 1).String()[:4]
		if _, err := standin.ParseDate(text + "-W53"); (err == nil) != long[text] {
			t.Errorf("%s-W53: error %v; has 53 weeks: %v", text, err, long[text])
		}
	}
}

func TestParseMade(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ text, want string }{
		{"2001-03/2001-05", "2001-03-01 to 2001-05-31"},
		{"2001/2001", "2001-01-01 to 2001-12-31"},
		{"2001-W10/2001-04", "2001-03-05 to 2001-04-30"},
		{"../2001", "until 2001-12-31"},
		{"2001-02/..", "from 2001-02-01"},
		{" 2001 ", "2001-01-01 to 2001-12-31"},
		{"", "any date"},
	} {
		made, err := standin.ParseMade(test.text)
		if err != nil || made.Span.String() != test.want {
			t.Errorf("ParseMade(%q) = %v, %v; want %s", test.text, made.Span, err, test.want)
		}
	}
	for _, text := range []string{"2002/2001", "2001-03/05", "2001/", "/2001", "2001/2002/2003", "May 2001"} {
		if made, err := standin.ParseMade(text); err == nil {
			t.Errorf("ParseMade(%q) = %v; want an error", text, made.Span)
		}
	}
}

// Allen, Maintaining Knowledge about Temporal Intervals, CACM 26(11), 1983: two
// intervals stand in exactly one of thirteen relations. Spans of whole days from
// a to b are his intervals [a, b+1); adjacent days meet and share none.
func TestOverlapsIsAllens(t *testing.T) {
	t.Parallel()
	relations := map[string]func(a, b, c, d int) bool{
		"before": func(_, b, c, _ int) bool { return b < c }, "after": func(a, _, _, d int) bool { return d < a },
		"meets": func(_, b, c, _ int) bool { return b == c }, "met-by": func(a, _, _, d int) bool { return d == a },
		"overlaps":      func(a, b, c, d int) bool { return a < c && c < b && b < d },
		"overlapped-by": func(a, b, c, d int) bool { return c < a && a < d && d < b },
		"starts":        func(a, b, c, d int) bool { return a == c && b < d },
		"started-by":    func(a, b, c, d int) bool { return a == c && d < b },
		"during":        func(a, b, c, d int) bool { return c < a && b < d },
		"contains":      func(a, b, c, d int) bool { return a < c && d < b },
		"finishes":      func(a, b, c, d int) bool { return b == d && c < a },
		"finished-by":   func(a, b, c, d int) bool { return b == d && a < c },
		"equal":         func(a, b, c, d int) bool { return a == c && b == d },
	}
	apart := map[string]bool{"before": true, "meets": true, "met-by": true, "after": true}
	everyPair(func(a, b, c, d int) {
		var held []string
		for name, holds := range relations {
			if holds(a, b, c, d) {
				held = append(held, name)
			}
		}
		if len(held) != 1 {
			t.Fatalf("[%d,%d) and [%d,%d) stand in %v; want one relation", a, b, c, d, held)
		}
		x := standin.Days(standin.Date(a), standin.Date(b-1))
		y := standin.Days(standin.Date(c), standin.Date(d-1))
		if x.Overlaps(y) == apart[held[0]] {
			t.Errorf("[%d,%d) %s [%d,%d): Overlaps = %v", a, b, held[0], c, d, x.Overlaps(y))
		}
		if cut, ok := x.Cut(y); ok != x.Overlaps(y) || ok && cut != standin.Days(standin.Date(max(a, c)), standin.Date(min(b, d)-1)) {
			t.Errorf("[%d,%d) cut to [%d,%d) is %v, %v", a, b, c, d, cut, ok)
		}
	})
}

// everyPair visits every pair of spans with ends 0..7.
func everyPair(visit func(a, b, c, d int)) {
	for a := range 7 {
		for b := a + 1; b <= 7; b++ {
			for c := range 7 {
				for d := c + 1; d <= 7; d++ {
					visit(a, b, c, d)
				}
			}
		}
	}
}

func TestOpenSpans(t *testing.T) {
	t.Parallel()
	always := standin.Span{}
	from5 := standin.Span{From: standin.Known(standin.Date(5))}
	to4 := standin.Span{To: standin.Known(standin.Date(4))}
	for _, test := range []struct {
		a, b standin.Span
		want bool
	}{
		{always, always, true}, {always, from5, true}, {from5, to4, false},
		{from5, standin.Span{To: standin.Known(standin.Date(5))}, true},
		{from5, standin.Days(0, 4), false}, {from5, standin.Days(0, 5), true},
	} {
		if test.a.Overlaps(test.b) != test.want || test.b.Overlaps(test.a) != test.want {
			t.Errorf("%v overlaps %v: want %v, both ways", test.a, test.b, test.want)
		}
	}
}
