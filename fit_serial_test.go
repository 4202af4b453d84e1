package standin_test

import (
	"strings"
	"testing"

	"standin"
)

var (
	from1990to2029 = standin.Days(standin.NewDate(1990, 1, 1), standin.NewDate(2029, 12, 31))
	from1990to2009 = standin.Days(standin.NewDate(1990, 1, 1), standin.NewDate(2009, 12, 31))
)

func read(t *testing.T, pattern, serial string, base standin.Maybe[int], production standin.Span) string {
	t.Helper()
	rule, err := standin.NewSerialRule("rule", pattern, base)
	if err != nil {
		t.Fatal(err)
	}
	spans, matched := rule.Spans(serial, production)
	if !matched {
		return "not read"
	}
	words := make([]string, len(spans))
	for i, s := range spans {
		words[i] = s.String()
	}
	return strings.Join(words, " | ")
}

// IEC 60062:2016+A1:2019, clause on date codes: year letters of a cycle of
// twenty years without G, I, O, Q, Y and Z; months 1 to 9, O, N, D.
func TestLettersOfIEC60062(t *testing.T) {
	t.Parallel()
	years := map[string]int{"A": 1990, "B": 1991, "C": 1992, "D": 1993, "E": 1994, "F": 1995, "H": 1996, "J": 1997,
		"K": 1998, "L": 1999, "M": 2000, "N": 2001, "P": 2002, "R": 2003, "S": 2004, "T": 2005, "U": 2006, "V": 2007,
		"W": 2008, "X": 2009}
	for letter := 'A'; letter <= 'Z'; letter++ {
		want := ""
		if year, ok := years[string(letter)]; ok {
			want = standin.Days(standin.NewDate(year, 1, 1), standin.NewDate(year, 12, 31)).String()
		}
		got := read(t, "^(?P<yl>[A-Z])$", string(letter), standin.Maybe[int]{}, from1990to2009)
		if got != want {
			t.Errorf("%c: %s; want %s", letter, got, want)
		}
	}
	for _, test := range []struct{ mark, want string }{
		{"X5", "2009-05-01 to 2009-05-31 | 2029-05-01 to 2029-05-31"},
		{"N1", "2001-01-01 to 2001-01-31 | 2021-01-01 to 2021-01-31"},
		{"AO", "1990-10-01 to 1990-10-31 | 2010-10-01 to 2010-10-31"},
		{"MD", "2000-12-01 to 2000-12-31 | 2020-12-01 to 2020-12-31"},
		{"I5", ""}, {"O5", ""}, {"A0", ""},
	} {
		if got := read(t, "^(?P<yl>.)(?P<ml>.)$", test.mark, standin.Maybe[int]{}, from1990to2029); got != test.want {
			t.Errorf("%s: %q; want %q", test.mark, got, test.want)
		}
	}
}

func TestSpansOfSerials(t *testing.T) {
	t.Parallel()
	none := standin.Maybe[int]{}
	since2000 := standin.Span{From: standin.Known(standin.NewDate(2000, 1, 1))}
	for _, test := range []struct {
		name, pattern, serial string
		base                  standin.Maybe[int]
		production            standin.Span
		want                  string
	}{
		{"year and week", `^(?P<y2>\d\d)(?P<w>\d\d)`, "120800017", none, from1990to2029, "2012-02-20 to 2012-02-26"},
		{"week 53 of a long year", `^(?P<y2>\d\d)(?P<w>\d\d)`, "0453", none, from1990to2029, "2004-12-27 to 2005-01-02"},
		{"week 53 of a short year", `^(?P<y2>\d\d)(?P<w>\d\d)`, "0553", none, from1990to2029, ""},
		{"one digit, every ten years", `^(?P<y1>\d)`, "3", none, from1990to2009,
			"1993-01-01 to 1993-12-31 | 2003-01-01 to 2003-12-31"},
		{"base decides", `^(?P<y2>\d\d)`, "03", standin.Known(1990), from1990to2009, "1993-01-01 to 1993-12-31"},
		{"base outside production", `^(?P<y2>\d\d)`, "03", standin.Known(1980), from1990to2009, ""},
		{"base decides, however long ago", `^(?P<y2>\d\d)`, "04", standin.Known(1900), standin.Span{}, "1904-01-01 to 1904-12-31"},
		{"four digits decide, however far off", `^(?P<y4>\d{4})`, "2104", none, since2000, "2104-01-01 to 2104-12-31"},
		{"five digits are no year", `^(?P<y4>\d+)`, "20041", none, since2000, ""},
		{"production decides the century", `^(?P<y2>\d\d)`, "98", none, from1990to2009, "1998-01-01 to 1998-12-31"},
		{"open production keeps both centuries", `^(?P<y2>\d\d)`, "98", none, standin.Span{},
			"1998-01-01 to 1998-12-31 | 2098-01-01 to 2098-12-31"},
		{"cut to the production", `^(?P<y4>\d{4})`, "2003", none,
			standin.Days(standin.NewDate(2003, 4, 1), standin.NewDate(2008, 1, 1)), "2003-04-01 to 2003-12-31"},
		{"a day before production", `^(?P<y4>\d{4})(?P<d>\d{3})`, "1999365", none, since2000, ""},
		{"the first day of production", `^(?P<y4>\d{4})(?P<d>\d{3})`, "2000001", none, since2000, "2000-01-01"},
		{"day 366 of a leap year", `^(?P<y4>\d{4})(?P<d>\d{3})`, "2004366", none, since2000, "2004-12-31"},
		{"day 366 of another", `^(?P<y4>\d{4})(?P<d>\d{3})`, "2005366", none, since2000, ""},
		{"day 0", `^(?P<y4>\d{4})(?P<d>\d{3})`, "2005000", none, since2000, ""},
		{"month 12", `^(?P<y4>\d{4})(?P<m>\d\d)`, "200512", none, since2000, "2005-12-01 to 2005-12-31"},
		{"month 13", `^(?P<y4>\d{4})(?P<m>\d\d)`, "200513", none, since2000, ""},
		{"two years that disagree", `^(?P<y1>\d)(?P<y4>\d{4})`, "42005", none, since2000, ""},
		{"small letters", `^(?P<yl>[A-Z])(?P<ml>.)`, "nd", none, from1990to2009, "2001-12-01 to 2001-12-31"},
		{"another form", `^(?P<y2>\d\d)-`, "0412", none, from1990to2009, "not read"},
	} {
		if got := read(t, test.pattern, test.serial, test.base, test.production); got != test.want {
			t.Errorf("%s: %q; want %q", test.name, got, test.want)
		}
	}
}

func TestSerialRuleRefuses(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ pattern, says string }{
		{"(", "not a regular expression"},
		{`^(?P<w>\d\d)`, "no group for the year"},
		{`^(?P<y2>\d\d)(?P<day>\d)`, "named day"},
	} {
		if _, err := standin.NewSerialRule("r", test.pattern, standin.Maybe[int]{}); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("NewSerialRule(%q): %v; want an error that says %q", test.pattern, err, test.says)
		}
	}
}
