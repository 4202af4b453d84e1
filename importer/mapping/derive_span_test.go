package mapping

import (
	"testing"

	"standin"
)

// Spans as suppliers write them, in seven languages.
func TestEnds(t *testing.T) {
	t.Parallel()
	c := &cell{side: fromSide, column: standin.Column{Kind: standin.FromDate}}
	for _, form := range []string{"MM/YYYY", "'YY", "WW/YYYY", "MM.YYYY"} {
		f, ok := parseDateForm(form)
		if !ok {
			t.Fatal(form)
		}
		c.dates = append(c.dates, f)
	}
	for _, x := range []struct{ text, from, to string }{
		{"2001-2004", "2001", "2004"}, {"2001–2004", "2001", "2004"}, {"2001 - 2004", "2001", "2004"}, {"2001/2004", "2001", "2004"},
		{"'99-'03", "'99", "'03"}, {"’99–’03", "'99", "'03"}, {"2004", "2004", "2004"}, {"2004-09", "2004-09", "2004-09"},
		{"2001-03-2004-05", "2001-03", "2004-05"}, {"13/2003-11.2006", "13/2003", "11.2006"}, {"2004-", "2004", ""}, {"-2004", "", "2004"},
		{"2004 → ", "2004", ""}, {"2001...2004", "2001", "2004"}, {"2001 - heute", "2001", ""}, {"2001 - …", "2001", ""},
		{"ab 2003", "2003", ""}, {"bis 2003", "", "2003"}, {"von 2001 bis 2004", "2001", "2004"}, {"2001 bis 2004", "2001", "2004"},
		{"depuis 2003", "2003", ""}, {"jusqu'à 2003", "", "2003"}, {"de 2001 à 2004", "2001", "2004"}, {"à partir de 2003", "2003", ""},
		{"dal 2001 al 2004", "2001", "2004"}, {"fino al 2004", "", "2004"}, {"desde 2003", "2003", ""}, {"hasta 2003", "", "2003"},
		{"vanaf 2003", "2003", ""}, {"tot en met 2003", "", "2003"}, {"od 2001 do 2004", "2001", "2004"}, {"since 2003", "2003", ""},
		{"up to 2003", "", "2003"}, {"from 2001 to 2004", "2001", "2004"}, {"2001 to present", "2001", ""},
	} {
		from, to, f := c.ends(apostrophes.Replace(x.text))
		if f != nil || from != x.from || to != x.to {
			t.Errorf("%q is from %q to %q, %v; want %q to %q", x.text, from, to, f, x.from, x.to)
		}
	}
	for _, text := range []string{"about 2004", "2001-2004-2006", "2004 or 2005", "from", "99-03"} {
		if from, to, f := c.ends(text); f == nil {
			t.Errorf("%q is from %q to %q, want a fault", text, from, to)
		}
	}
}

// Spans of serial numbers: words and dashes, but not the dashes within a number.
func TestSerialEnds(t *testing.T) {
	t.Parallel()
	c := &cell{side: fromSide, column: standin.Column{Kind: standin.Text}}
	for _, x := range []struct{ text, from, to string }{
		{"up to 0034999", "", "0034999"}, {"ab 0035000", "0035000", ""}, {"0035000-0049999", "0035000", "0049999"}, {"0035000", "0035000", "0035000"},
		{"A-100 - A-200", "A-100", "A-200"}, {"A100–A200", "A100", "A200"}, {"od 100 do 200", "100", "200"},
	} {
		if from, to, f := c.ends(x.text); f != nil || from != x.from || to != x.to {
			t.Errorf("%q is from %q to %q, %v; want %q to %q", x.text, from, to, f, x.from, x.to)
		}
	}
	if _, _, f := c.ends("A-100-A-200"); f == nil {
		t.Error("dashes that may part at several places are read")
	}
}
